#!/usr/bin/env python
"""Run Kettlebook's commands: ``python manage.py help`` lists them."""

import os
import sys

if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    from config.opening import run_command

    run_command(sys.argv)
