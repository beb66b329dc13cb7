"""That the book was restored from a backup, told with its answer."""

from collections.abc import Iterator

from production.models import Restored
from production.reads.history.told import Facts, Told, day, some


def restored_events() -> Iterator[Told]:
    rows = Restored.objects.select_related("deed").prefetch_related("answers__deed")
    for row in rows:
        facts: Facts = {"type": "restored", "date": day(row.deed.on)}
        facts["taken_at"] = row.taken_at.isoformat()
        facts["restored_at"] = row.restored_at.isoformat()
        last = sorted(row.last.items())
        some(facts, series=[{"name": name, "last": at} for name, at in last])
        if answers := list(row.answers.all()):
            # What was found later goes along with the answer.
            said: Facts = {"date": day(answers[0].deed.on)}
            codes = "\n".join(one.codes for one in answers if one.codes)
            some(said, codes=codes, reason=answers[0].deed.reason)
            facts["answered"] = said
        yield Told(row.deed.on, row.deed_id, 9, facts)
