"""Bad input at every door, by command.

``python -m tests.fuzz --inputs 20000 --seed 7`` builds the demo in a test database,
sends so many inputs to its pages, files and commands, and tells each place that broke.
"""

import argparse
import logging
import os
import sys
import tempfile
import time

import django


def main() -> int:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--inputs", type=int, default=20_000)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--seconds", type=float, default=0, help="end after so many")
    asked.add_argument("--traces", action="store_true", help="each at once")
    options = asked.parse_args()
    os.environ["KETTLEBOOK_HOME"] = tempfile.mkdtemp()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    logging.disable(logging.CRITICAL)
    from django.conf import settings
    from django.test.utils import setup_test_environment

    setup_test_environment(debug=False)
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    from tests.fuzz.bench import fresh_book
    from tests.fuzz.search import search

    fresh_book()
    start = time.monotonic()
    at_once = say if options.traces else None
    found = search(
        options.inputs, options.seed, at_once=at_once, seconds=options.seconds
    )
    found.tell(say)
    say(f"{time.monotonic() - start:.0f} seconds, seed {options.seed}")
    return 1 if found.faults else 0


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
