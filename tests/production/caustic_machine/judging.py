"""Checks, readings, holds, releases, rejections, and taking them back."""

from decimal import Decimal
from fractions import Fraction

from hypothesis import strategies as st
from hypothesis.stateful import precondition, rule

from production.batches.actions.trials import note_look, promote_trial
from production.models import Hold as HoldRow
from production.models import Measurement
from production.release.actions.readings import note_measurement
from production.release.actions.statuses import hold_lot, reject_lot, release_lot
from production.release.actions.taking_back import take_back_check
from production.release.actions.tested_before import note_tested_before
from production.stock.actions.opening_lots import Reading
from production.workshop.actions.items import restate_item
from tests import make
from tests.production.caustic_machine.bench import ACTORS, DAYS, PICK, WHY, YES_OR_NO
from tests.production.caustic_machine.model import Check, Hold

VERDICTS = st.sampled_from((True, True, True, False))
SAMPLED = st.sampled_from(("", "", "after", "before"))
LIMIT = Decimal("0.001403")


class Judging:
    # -- rules: checks

    @rule(n=PICK, passed=VERDICTS, days=DAYS, who=ACTORS, sampled=SAMPLED)
    def check_a_lot(self, n, passed, days, who, sampled):
        thing = self.pick(n, self.tested_things())
        if thing is not None:
            reading = Reading("neutrality", passed=passed, sampled=sampled)
            self.note(thing, reading, passed, days, who)

    @rule(n=PICK, passed=VERDICTS, days=DAYS, who=ACTORS, sampled=SAMPLED)
    @precondition(lambda self: self.open_things())
    def check_an_open_batch(self, n, passed, days, who, sampled):
        thing = self.pick(n, self.open_things())
        reading = Reading("neutrality", passed=passed, sampled=sampled)
        self.note(thing, reading, passed, days, who, of_lot=False)

    @rule(
        n=PICK,
        free=st.sampled_from(("0", "0.0005", "0.001", "0.003", "0.02")),
        says=st.sampled_from((None, None, True)),
        days=DAYS,
        who=ACTORS,
    )
    def titrate(self, n, free, says, days, who):
        thing = self.pick(n, self.tested_things())
        if thing is not None:
            value = Decimal(free)
            reading = Reading("free alkali", value, passed=says, method="titration")
            self.note(thing, reading, value <= LIMIT, days, who)

    @rule(n=PICK, ph=st.sampled_from(("9.5", "7", "11.5", "12.4")), days=DAYS)
    @precondition(lambda self: self.seldom("pH"))
    def read_ph(self, n, ph, days):
        """A high one fails soap; none passes it."""
        thing = self.pick(n, self.tested_things())
        if thing is None:
            return
        fails = Decimal(ph) > Decimal("11.5") and self.soapy(thing)
        fails = fails and not self.model.preparation(thing)
        reading = Reading("pH", Decimal(ph))
        self.note(thing, reading, False if fails else None, days, "maker")

    @rule(n=PICK, back=PICK, who=ACTORS, other=st.one_of(st.none(), PICK), days=DAYS)
    @precondition(lambda self: any(one.checks for one in self.model.things))
    def take_a_check_back(self, n, back, who, other, days):
        thing = self.pick(n, [one for one in self.model.things if one.checks])
        check = self.pick(back, reversed(thing.checks))
        found = None if other is None else self.pick(other, self.tested_things())
        act = self.when(days, who)
        row = Measurement.objects.get(pk=check.row)

        def call():
            belongs_to = self.lot(found) if found is not None else None
            take_back_check(measurement=row, belongs_to=belongs_to, **act)

        def effect(_):
            check.taken_back = True
            if found is not None:
                moved = Check(False, check.on, self.model.turn)
                moved.row = Measurement.objects.latest("pk").pk
                found.checks.append(moved)
            elif check.passed:
                thing.murk = "a pass was taken back"

        says = f"take back the check of {thing.code} ({check.passed}, {check.on})"
        says += f": it is of {found.code}" if found is not None else ""
        self.attempt("take a check back", says, call, act, effect=effect)

    @rule(n=PICK, days=DAYS, back=st.sampled_from((0, 0, 3)))
    @precondition(lambda self: self.here(role="soap", pieces=True))
    def say_it_was_tested_before(self, n, days, back):
        thing = self.pick(n, self.here(role="soap", pieces=True))
        act = self.when(days)
        tested = self.when(days - back)["on"]

        def call():
            note_tested_before(
                lots=[self.lot(thing)],
                tested=tested,
                how="drop test",
                written="old book",
                **act,
            )

        def effect(_):
            self.remember_check(thing, True, tested, True, False)

        says = f"{thing.code} was tested before this book, on {tested}"
        self.attempt("tested before", says, call, act, effect=effect)

    def tested_things(self):
        return self.here(soap=True) + self.here(role="alkali")

    def note(self, thing, reading, passed, days, who, *, of_lot=True):
        act = self.when(days, who)

        def call():
            of = {"lot": self.lot(thing)} if of_lot else {"batch": self.batch(thing)}
            note_measurement(readings=[reading], **of, **act)

        def effect(_):
            if passed is not None:
                before = reading.sampled == "before"
                self.remember_check(thing, passed, act["on"], of_lot, before)

        what = f"{reading.what} {reading.value or ''} {passed} {reading.sampled}"
        of = "lot" if of_lot else "open batch"
        self.attempt(
            reading.what, f"note of {of} {thing.code}: {what}", call, act, effect=effect
        )

    def remember_check(self, thing, passed, on, of_lot, before):
        check = Check(passed, on, self.model.turn, of_lot, before)
        check.row = Measurement.objects.latest("pk").pk
        thing.checks.append(check)

    # -- rules: states

    @rule(n=PICK, days=DAYS, who=ACTORS, override=YES_OR_NO)
    def release(self, n, days, who, override):
        waits = [one for one in self.here() if one.word(self.today) != "released"]
        thing = self.pick(n, waits)
        if thing is not None:
            self.let_go(thing, days, who, override, None)

    @rule(n=PICK, m=PICK, days=DAYS, who=ACTORS)
    @precondition(lambda self: any(one.holds for one in self.model.things))
    def release_one_cause(self, n, m, days, who):
        held = [
            one
            for one in self.model.things
            if any(not hold.lifted for hold in one.holds) and one.left
        ]
        thing = self.pick(n, held)
        if thing is not None:
            standing = [hold for hold in thing.holds if not hold.lifted]
            self.let_go(thing, days, who, False, [self.pick(m, standing)])

    def let_go(self, thing, days, who, override, lifts):
        act = self.when(days, who)
        causes = self.model.held(thing, act["on"])
        rejected = thing.rejected is not None
        # Soap from outside stands released and untested: it is asked about at the door.
        open_ = [
            threat.says
            for threat in self.model.threats(thing, act["on"])
            if not thing.outside or threat.moment is not None
        ]
        rows = None
        if lifts is not None:
            rows = list(HoldRow.objects.filter(pk__in=[hold.row for hold in lifts]))

        def call():
            return release_lot(
                lot=self.lot(thing), override=override, lifts=rows, **act
            )

        def effect(status):
            for hold in thing.holds if lifts is None else lifts:
                hold.lifted = True
            if lifts is None and any(hold not in thing.holds for hold in causes):
                self.lifted_behind(thing, causes)
            if status.__class__.__name__ == "Status":
                thing.words.append((act["on"], self.model.turn, "released"))
                if open_ or rejected:
                    self.fault(f"{thing.code} was released: {open_ or 'rejected'}")

        which = "all causes" if lifts is None else "one cause"
        self.attempt("release", f"release {thing.code}, {which}", call, act, (), effect)

    def lifted_behind(self, thing, causes):
        """What was lifted of another lot: the rules leave open how that one stands."""
        for one in self.model.things:
            for hold in one.holds:
                if hold in causes and not hold.lifted:
                    hold.lifted = True
                    one.murk = "lifted with what was made from it"

    @rule(n=PICK, days=DAYS, who=ACTORS, alone=YES_OR_NO)
    def hold(self, n, days, who, alone):
        thing = self.pick(n, [one for one in self.here() if one.role != "packaging"])
        act = self.when(days, who, "a complaint")
        reach = {"also": (), "batches": (), "left_out": WHY} if alone else {}

        def effect(_):
            row = HoldRow.objects.filter(lot__code=thing.code).latest("pk").pk
            self.remember_hold(thing, act["on"], row)
            for row in [] if alone else HoldRow.objects.filter(deed=self.deed()):
                code = row.lot.code if row.lot_id else row.batch.code[2:]
                other = next(one for one in self.model.things if one.code == code)
                if other is not thing:
                    self.remember_hold(other, act["on"], row.pk)

        says = f"hold {thing.code}{' alone' if alone else ''}"
        self.attempt(
            "hold",
            says,
            lambda: hold_lot(lot=self.lot(thing), **reach, **act),
            act,
            effect=effect,
        )

    def remember_hold(self, thing, on, row):
        hold = Hold(on, self.model.turn)
        hold.row = row
        thing.holds.append(hold)
        thing.words.append((on, self.model.turn, "held"))

    @rule(n=PICK, days=DAYS, who=ACTORS)
    def reject(self, n, days, who):
        thing = self.pick(n, self.here(soap=True))
        if thing is None:
            return
        act = self.when(days, who)

        def effect(_):
            thing.rejected = act["on"]
            thing.words.append((act["on"], self.model.turn, "rejected"))

        self.attempt(
            "reject",
            f"reject {thing.code}",
            lambda: reject_lot(lot=self.lot(thing), **act),
            act,
            effect=effect,
        )

    @rule(n=PICK, days=DAYS, who=ACTORS)
    @precondition(lambda self: any(one.trial for one in self.model.things))
    def accept_a_trial(self, n, days, who):
        thing = self.pick(n, [one for one in self.model.things if one.trial])
        act = self.when(days, who)

        def effect(_):
            thing.accepted = act["on"]

        self.attempt(
            "accept a trial",
            f"accept the trial {thing.code}",
            lambda: promote_trial(batch=self.batch(thing), **act),
            act,
            effect=effect,
        )

    @rule(n=PICK, days=st.sampled_from((0, 1, 2)))
    @precondition(lambda self: any(one.trial for one in self.model.things))
    def look_at_a_trial(self, n, days):
        thing = self.pick(n, [one for one in self.model.things if one.trial])
        act = self.when(days)
        self.attempt(
            "look at a trial",
            f"look at {thing.code}",
            lambda: note_look(batch=self.batch(thing), look="day", text="clear", **act),
            act,
        )

    @rule(n=PICK, purity=st.sampled_from(("0.85", "0.91", "0.95", "0.99")), days=DAYS)
    @precondition(lambda self: self.seldom("titrate the tub"))
    def titrate_the_tub(self, n, purity, days):
        thing = self.pick(n, self.here(role="alkali"))
        act = self.when(days)
        reading = Reading("purity", Decimal(purity), confirmed=True)

        def effect(_):
            thing.values.append((act["on"], self.model.turn, Fraction(purity)))

        self.attempt(
            "titrate the tub",
            f"purity of {thing.code} is {purity}",
            lambda: note_measurement(lot=self.lot(thing), readings=[reading], **act),
            act,
            effect=effect,
        )

    @rule(what=st.sampled_from(("alkali", "salt")), who=ACTORS)
    @precondition(lambda self: self.here(role="nameless"))
    def say_what_it_is(self, what, who):
        item = make.item("grey powder")
        act = self.when(0, who)
        facts = {"category": what} | ({"alkali": "KOH"} if what == "alkali" else {})

        def effect(_):
            for one in self.model.things:
                if one.role == "nameless":
                    one.role = what
                    one.murk = "named late"

        self.attempt(
            "say what it is",
            f"grey powder is {what}",
            lambda: restate_item(item=item, **facts, **act),
            act,
            effect=effect,
        )
