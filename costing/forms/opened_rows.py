"""A card with rows that two people open: each set of rows is told as one fact."""

import json
from typing import Any

from production.pages.forms.opened import Between, Opened, values_of
from production.pages.forms.typed import row_anchor


class OpenedWithRows(Opened):
    """As ``Opened``; a set of rows that nobody touched takes the new ones over."""

    row_sets: dict[str, tuple[Any, str]]
    rows: dict[str, Any]
    set_rows: Any

    @property
    def opened_with(self):
        said = super().opened_with
        if self._carried is None and self.is_bound:
            return said
        return json.dumps({**json.loads(said), **self._carried_rows()})

    def _carried_rows(self):
        of = self if self._carried is None else self._standing
        return {_mark(name): _said(of.rows[name]) for name in self.row_sets}

    def changed_between(self, standing):
        found = list(super().changed_between(standing))
        opened = self._opened()
        for name, (_, heading) in self.row_sets.items():
            was, now = opened.get(_mark(name)), _said(standing.rows[name])
            typed = _said(self.rows[name])
            if was is None or was == now or typed == now:
                continue
            taken = typed == was
            if taken:
                self._take_rows_over(name, standing.rows[name])
            anchor = row_anchor(self.rows[name].forms[0])
            found.append(Between(name, heading, was, now, typed, taken, anchor))
        if found:
            self._carried, self._standing = values_of(standing), standing
        return found

    def _opened(self):
        try:
            found = json.loads(self.data.get("opened", ""))
        except ValueError:
            return {}
        return found if isinstance(found, dict) else {}

    def _take_rows_over(self, name, rows):
        data = self.data.copy()
        for key in [key for key in data if key.startswith(f"{name}-")]:
            del data[key]
        data[f"{name}-TOTAL_FORMS"] = str(len(rows.forms))
        data[f"{name}-INITIAL_FORMS"] = "0"
        for row in rows.forms:
            for box in row:
                data[box.html_name] = _text(box)
        self.data = data
        self.set_rows(data, None)


def _mark(name):
    return f"rows of {name}"


def _said(rows):
    """Every row that says something, as it stands in its boxes."""
    told = (" ".join(filter(None, map(_text, row))) for row in rows.forms)
    return "; ".join(filter(None, told))


def _text(box):
    value = box.value()
    return "" if value is None else str(value).strip()
