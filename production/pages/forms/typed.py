"""What a form was sent with: its digest, and what is to be mended in it."""

import hashlib
from dataclasses import dataclass

from production.record.actions.digest import SECRET, digest_of, secret

# The form's own paper: none of it is what somebody typed.
PAPER = {"csrfmiddlewaretoken", "key", "who", "opened", "beside"}
# A tick that was asked for before the first was written, and is not on the page that
# Back shows.
CONFIRMS = {"confirmed", "read", "low_ph", "again"}
COUNTS = {"TOTAL_FORMS", "INITIAL_FORMS", "MIN_NUM_FORMS", "MAX_NUM_FORMS"}


def typed_in(data, files, *, where, by):
    """The digest of what was typed, whatever the order of its boxes."""
    key = data.get("key", "")
    facts = {}
    for name in data:
        if name in PAPER or name.rsplit("-", 1)[-1] in CONFIRMS | COUNTS:
            continue
        values = [_tidy(value) for value in data.getlist(name)]
        values = [secret(key, one) if SECRET in name else one for one in values if one]
        if values:
            facts[name] = values
    sent = {name: [_sum_of(one) for one in files.getlist(name)] for name in files}
    return digest_of({"where": where, "by": by, "typed": facts, "files": sent})


def _tidy(text):
    return text.replace("\r\n", "\n").strip()


def _sum_of(file):
    found = hashlib.sha256(file.name.encode())
    for part in file.chunks():
        found.update(part)
    file.seek(0)
    return found.hexdigest()


@dataclass(frozen=True)
class Fault:
    """What is to be mended: the name of the box, where it stands, and how."""

    label: str
    anchor: str
    says: str


def faults_of(form):
    """Every fault of a form and of its rows, in the order of the page."""
    found = _of_boxes(form)
    for name, (_, heading) in getattr(form, "row_sets", {}).items():
        rows = form.rows[name]
        found += [Fault(heading, "", says) for says in rows.non_form_errors()]
        for number, row in enumerate(rows, start=1):
            words = f"{heading or 'row'} {number}"
            own = row.non_field_errors()
            found += [Fault(words, row_anchor(row), says) for says in own]
            found += _of_boxes(row, f"{words}, ")
    return found


def row_anchor(row):
    return f"row-{row.prefix}"


def _of_boxes(form, before=""):
    return [
        Fault(
            f"{before}{box.label}",
            "" if box.is_hidden else box.id_for_label or box.auto_id,
            box.errors[0],
        )
        for box in form
        if box.errors
    ]
