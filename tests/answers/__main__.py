"""Record what the product answers, and compare two records.

``python -m tests.answers record FILE --workshops 50 --seed 7 --from FOLDER`` imports
the history files of FOLDER (which are made, of the demo and of so many random
workshops, where the folder has none) and writes one line of JSON for each answer. Kept
files let another version of the code be asked the same of the same past.

``python -m tests.answers compare A B`` lists each difference, by kind of question, and
ends with an error where there is one.
"""

import argparse
import gc
import logging
import os
import sys
import tempfile
import time
from pathlib import Path


def main() -> int:
    asked = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    verbs = asked.add_subparsers(dest="verb", required=True)
    record = verbs.add_parser("record")
    record.add_argument("file", type=Path)
    record.add_argument("--workshops", type=int, default=50)
    record.add_argument("--seed", type=int, default=7)
    record.add_argument("--from", dest="folder", type=Path, help="of history files")
    record.add_argument("--only", default="", help="books whose name begins so")
    compare = verbs.add_parser("compare")
    compare.add_argument("a", type=Path)
    compare.add_argument("b", type=Path)
    compare.add_argument("--each", type=int, default=8, help="shown of each kind")
    options = asked.parse_args()
    if options.verb == "compare":
        from tests.answers.comparing import compared, told

        found = compared(options.a, options.b)
        say(told(found, options.each))
        return 1 if found else 0
    return _record(options)


def _record(options) -> int:
    set_up()
    from tests.answers.books import make_missing
    from tests.answers.recording import record

    start = time.monotonic()
    folder = options.folder or Path(tempfile.mkdtemp())
    make_missing(folder, options.workshops, options.seed)
    made = time.monotonic()
    gc.freeze()
    count = record(options.file, folder, options.only)
    say(
        f"{count} answers; {made - start:.0f} s to make the books, "
        f"{time.monotonic() - made:.0f} s to ask."
    )
    return 0


def set_up() -> None:
    """Django over an empty database in memory."""
    os.environ["KETTLEBOOK_HOME"] = tempfile.mkdtemp()
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    import django

    django.setup()
    logging.disable(logging.CRITICAL)
    from django.conf import settings
    from django.db import connection

    # No test environment: it copies the context of every template, down to each box.
    settings.ALLOWED_HOSTS = ["testserver"]
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    connection.creation.create_test_db(verbosity=0)


def say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    sys.exit(main())
