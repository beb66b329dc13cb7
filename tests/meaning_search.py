"""The long search for a mistake after which the book says what nobody meant.

``python -m tests.meaning_search --examples 200 --steps 50 --seed 7`` keeps its book in
memory, prints how many steps of each rule were done and refused, and the first fault as
a list of deeds. Making that shorter takes hours: only ``--shrink`` does it.
"""

import argparse
import logging
import os
import sys
import tempfile

import django
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis.stateful import run_state_machine_as_test


def main():
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--examples", type=int, default=200)
    asked.add_argument("--steps", type=int, default=50)
    asked.add_argument("--seed", type=int, default=0)
    asked.add_argument("--shrink", action="store_true")
    options = asked.parse_args()
    os.environ["KETTLEBOOK_HOME"] = tempfile.mkdtemp()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    django.setup()
    logging.disable(logging.ERROR)
    return search(options)


def search(options):
    """Run the machine on a fresh test database."""
    from django.db import connection
    from django.test.utils import setup_test_environment

    setup_test_environment()
    connection.creation.create_test_db(verbosity=0)
    from tests.production.clumsy_machine import ClumsyMachine, Fault

    say(f"seed {options.seed}, {options.examples} runs of {options.steps} steps")
    shrink = [Phase.shrink] if options.shrink else []
    terms = settings(
        max_examples=options.examples,
        stateful_step_count=options.steps,
        database=None,
        deadline=None,
        print_blob=False,
        phases=[Phase.generate, *shrink],
        report_multiple_bugs=False,
        suppress_health_check=list(HealthCheck),
    )
    try:
        machine = seed(options.seed)(ClumsyMachine)
        run_state_machine_as_test(machine, settings=terms)
    except Fault as fault:
        say(f"\n{fault}")
        return 1
    finally:
        told()
    say("Nothing was found.")
    return 0


def told():
    from tests.production.clumsy_machine import counted

    done, refused = counted["done"], counted["refused"]
    for name in sorted({*done, *refused}):
        say(f"{name:20} {done[name]:6} done {refused[name]:6} refused")
    steps = done.total() + refused.total()
    say(f"{done.total()} done, {refused.total()} refused: {steps} steps in all")


def say(text):
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
