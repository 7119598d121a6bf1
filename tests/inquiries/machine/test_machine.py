"""A whole shop, two people at the desk, any deed at any time: what must hold, holds after each of 10,000 steps."""

import random
from collections import Counter
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import count

import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, seed, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, rule, run_state_machine_as_test

from inquiries.audit.actions import audit
from inquiries.models import Hold, Sale
from inquiries.sales.hold_actions import settle
from inquiries.sales.queries import facts_of, with_rows
from shop.refusal import Refused
from tests.factories import NOON
from tests.inquiries.machine.looked_at import false_things, fingerprint, wrong_stage
from tests.support.shopkeepers import DEEDS, OFTEN, Deeds, Nothing, open_shop

SHOPS, STEPS = 20, 120  # examples of one batch, and deeds in each
ENOUGH = 10_000
AUDIT_EACH = 40
NAMES = list(DEEDS)
OF_A_SALE = NAMES[NAMES.index("open_sale") :]
HOURS = [0, 1, 5, 24, 48, 72]
picks = st.integers(0, 2**32)


class Chance:
    """Chance that follows from a number that was drawn, and from the step."""

    def __init__(self, drawn: int, step: int) -> None:
        self._chance = random.Random(f"{drawn} {step}")

    def upto(self, most: int) -> int:
        return self._chance.randrange(most)


class Shop(RuleBasedStateMachine):
    """Each example begins with the same shop and is undone at its end."""

    came_to: Counter[str] = Counter()
    steps = 0

    def __init__(self) -> None:
        super().__init__()
        self.at = NOON
        self._undone = transaction.atomic()
        self._undone.__enter__()
        self._mine = 0

    def teardown(self) -> None:
        try:
            self.all_adds_up()
        finally:
            transaction.set_rollback(True)
            self._undone.__exit__(None, None, None)

    @rule(deed=st.sampled_from(OFTEN), drawn=picks)
    def at_the_desk(self, deed: str, drawn: int) -> None:
        """A deed, now and then after a pause; where there is nothing to do it to, some other."""
        pause = Chance(drawn, -self._mine)
        if not pause.upto(6):
            self.time_goes_by(pause)
        before = fingerprint()
        for name in (deed, *(OFTEN[pause.upto(len(OFTEN))] for _ in range(4)), "hold", "bring_in", "offer"):
            if self.tried(name, drawn, before):
                return

    def tried(self, name: str, drawn: int, before: tuple[int, ...]) -> bool:
        """Do it, and see what came of it; False when there was nothing to do it to."""
        refused = None
        try:
            with transaction.atomic():
                mark = DEEDS[name](Deeds(Chance(drawn, self._mine), at=self.at))
        except Nothing:
            return False
        except Refused as said:
            refused = said
        if refused:
            assert fingerprint() == before, f"{name} was refused and left a trace"
            assert refused.message.endswith("."), "every refusal is a sentence"
        else:
            assert mark.times() == 1, (name, mark)
            assert not (wrong := false_things(self.at)), wrong
            if name in OF_A_SALE:
                assert not (copy := wrong_stage(self.at)), copy
        self.counted(name, f"refused: {refused.code}" if refused else "done")
        return True

    def counted(self, name: str, how: str) -> None:
        Shop.steps += 1
        self._mine += 1
        self.came_to[f"{name}: {how}"] += 1
        if self._mine % AUDIT_EACH == 0:
            self.all_adds_up()

    def time_goes_by(self, chance: Chance) -> None:
        """Some hours; or to the very end of a hold or of an approval period, or a moment before or after."""
        ends = sorted(end for end in self._ends() if end > self.at) if chance.upto(2) else []
        if ends:
            moment = timedelta(microseconds=chance.upto(3) - 1)
            self.at = max(self.at, ends[chance.upto(len(ends))] + moment)
        else:
            self.at += timedelta(hours=HOURS[chance.upto(len(HOURS))], minutes=chance.upto(60))
        assert not (wrong := false_things(self.at)), wrong

    def _ends(self) -> Iterator[datetime]:
        yield from Hold.objects.filter(until__isnull=False).values_list("until", flat=True)
        for sale in with_rows(Sale.objects.filter(ended_at__isnull=True)):
            if until := facts_of(sale).approval_until:
                yield until

    def all_adds_up(self) -> None:
        """The audit, once the worker has entered what the clock alone has ended."""
        with transaction.atomic():
            for hold in Hold.objects.filter(state="active", until__lte=self.at):
                settle(hold.instrument, at=self.at)
            work = [str(found) for found in audit(at=self.at) if not found.where.startswith("Work")]
            assert not work, work


@pytest.mark.django_db
def test_ten_thousand_steps_break_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("inquiries.audit.kept_files.FOLDERS", [])
    monkeypatch.setattr("inquiries.audit.file_checks.FOLDERS", [])
    open_shop()
    Shop.steps = 0
    Shop.came_to = Counter()

    for batch in count():
        if Shop.steps >= ENOUGH:
            break
        run_state_machine_as_test(
            seed(batch)(Shop),
            settings=settings(
                max_examples=SHOPS,
                stateful_step_count=STEPS,
                deadline=None,
                database=None,
                suppress_health_check=list(HealthCheck),
                phases=[Phase.generate],
            ),
        )

    print(f"\n{Shop.steps} steps")
    for what, many in sorted(Shop.came_to.items()):
        print(f"{many:6} {what}")
    assert Shop.steps >= ENOUGH
    idle = [deed for deed in DEEDS if not Shop.came_to[f"{deed}: done"]]
    assert idle == [], "each deed was really done"
