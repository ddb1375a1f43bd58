"""The counters under a long run of recording, replaying, cancelling, moving, spoiling and cutting again in any order.

A plain model beside them adds up what each task should count; after every step both agree and `recount` is clean.
"""

import uuid
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.db import transaction
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule, run_state_machine_as_test

from jobs.changes import drop_wheel
from jobs.models import Operation, Task, Wheel
from jobs.orders import WheelRow
from shop.models import Hand
from tests.factories import NOW, makeup, take_pair
from tests.timing.told import HUB_WORK, PUT_IN, TAKEN_BY, WORK, ZERO, Counts, Moved, Told, plus
from timing.facts import Cancel, Fact, FactRefused, Yield
from timing.models import AwaitedCancel, Stretch
from timing.moves import MoveWish, cancel_move, move_cut_again, move_pieces
from timing.record import cancel, record
from timing.recount import find_faults
from timing.setting_aside import AsideWish, set_aside
from timing.spoiling import record_spoiled_hub

PICK = st.integers(0, 999)
COUNT = st.integers(0, 9)
MINUTES = st.none() | st.integers(0, 300)


class CountersEqualFacts(RuleBasedStateMachine):
    hands: list[Hand]

    def __init__(self) -> None:
        super().__init__()
        self.atomic = transaction.atomic()
        self.atomic.__enter__()
        self.told: list[Told] = []
        self.moves: dict[uuid.UUID, Moved] = {}
        # Stretches that set pieces aside for a move, and those that took that back.
        self.desk_stretches = 0
        self.counts: dict[int, Counts] = {}
        self.asked = 0
        self.dropped: set[int] = set()
        self.tasks = list(Task.objects.select_related("operation", "part").order_by("pk"))
        self.wheels = list(Wheel.objects.order_by("pk"))
        self.live = {task.pk for task in self.tasks}
        # The tasks of parts that were made anew: their pieces are in no wheel now.
        self.gone: set[int] = set()

    def teardown(self) -> None:
        transaction.set_rollback(True)
        self.atomic.__exit__(None, None, None)

    # The model's own sums.

    def add(self, adds: dict[int, Counts], sign: int = 1) -> None:
        for task_id, counts in adds.items():
            self.counts[task_id] = plus(self.counts.get(task_id, ZERO), counts, sign)

    def fact(self, task: Task, hand: int, minutes: int | None, yields: tuple[Yield, ...]) -> Fact:
        return Fact(
            token=uuid.uuid4(),
            hand_id=self.hands[hand % len(self.hands)].user_id,
            operation_id=task.operation_id,
            done_at=NOW,
            started_at=None if minutes is None else NOW - timedelta(minutes=minutes),
            yields=yields,
        )

    def tell(self, told: Told, *, cancelled_first: bool) -> None:
        if cancelled_first:
            assert cancel(self.wish(told.token, told.hand_id), now=self.now()).stretch is None
        assert told.send().fresh
        self.add(told.adds)
        self.told.append(told)

    def take_back(self, told: Told) -> None:
        told.is_cancelled = True
        self.add(told.adds, -1)
        for old, new in told.renewed:
            worked_on = any(any(self.counts.get(task_id, ZERO)) for task_id in new)
            if worked_on or new & self.gone:
                continue
            self.gone = self.gone - old | new
            if new <= self.live:
                self.live = self.live - new | old

    def note_renewal(self, told: Told, here: dict[str, Task]) -> None:
        """Each task of the wheel's hub, bands and spokes has a fresh one in its place."""
        known = {task.pk for task in self.tasks}
        self.tasks = list(Task.objects.select_related("operation", "part").order_by("pk"))
        fresh = [task for task in self.tasks if task.pk not in known]
        pairs = []
        for kind in ("hub", "band", "spoke"):
            old = {task.pk for task in here.values() if task.part.kind == kind}
            new = {task.pk for task in fresh if task.part.kind == kind}
            assert len(new) == len(old)
            pairs.append((old, new))
            self.live = self.live - old | new
            self.gone |= old
        told.renewed = tuple(pairs)

    def usable(self, task: Task) -> int:
        """What was made of a task, less what was lost and what a later operation spoiled."""
        made, _, lost, _ = self.counts.get(task.pk, ZERO)
        spoiled_later = sum(
            self.counts.get(later.pk, ZERO)[1]
            for later in self.tasks
            if (later.lot_id, later.part.kind) == (task.lot_id, task.part.kind)
            and later.operation.position > task.operation.position
            and (task.wheel_id is None or later.part_id == task.part_id)
        )
        return made - lost - task.units * spoiled_later

    def whole(self, task: Task) -> int:
        """Pieces that are said to have had the operation."""
        return max(0, self.usable(task)) // task.units

    def loose_at(self, task: Task) -> int:
        """Pieces that have had this operation, no later one on loose pieces, and are in no wheel."""
        here = [other for other in self.tasks if other.lot_id == task.lot_id and other.pk not in self.gone]
        taken = sum(max(0, self.usable(t)) for t in here if t.operation.key == TAKEN_BY[task.part.kind])
        later = [
            max(0, self.usable(other) // other.units - taken)
            for other in here
            if other.wheel_id is None
            and other.part.kind == task.part.kind
            and other.operation.position > task.operation.position
        ]
        return max(0, self.usable(task) // task.units - taken - max(later, default=0))

    def behind(self, task: Task) -> list[Task]:
        """The task and the earlier ones of its loose pieces."""
        own = [t for t in self.tasks if t.part_id == task.part_id and t.wheel_id is None]
        return [t for t in own if t.operation.position <= task.operation.position]

    def now(self) -> datetime:
        """Later each time it is asked, as a server's clock is."""
        self.asked += 1
        return NOW + timedelta(seconds=self.asked)

    def wish(self, token: uuid.UUID, hand_id: int = 0) -> Cancel:
        by = hand_id or self.hands[0].user_id
        return Cancel(token=uuid.uuid4(), cancels_token=token, hand_id=by, done_at=NOW)

    # What may happen.

    @rule(pick=PICK, hand=PICK, made=COUNT, spoiled=st.integers(0, 2), minutes=MINUTES, cancelled_first=st.booleans())
    def record_work(
        self, pick: int, hand: int, made: int, spoiled: int, minutes: int | None, cancelled_first: bool
    ) -> None:
        self.work_at(self.tasks[pick % len(self.tasks)], hand, made, spoiled, minutes, cancelled_first=cancelled_first)

    @rule(pick=PICK, made=COUNT, spoiled=st.integers(0, 1))
    def work_at_a_hub(self, pick: int, made: int, spoiled: int) -> None:
        hubs = [t for t in self.tasks if t.operation.key in HUB_WORK and t.wheel_id == self.wheels[pick % 2].pk]
        self.work_at(hubs[pick % len(hubs)], 0, made, spoiled, 5, cancelled_first=False)

    def stage(self, pick: int) -> Task:
        """A task on loose pieces, to which some are brought first if need be: else there would be little to move."""
        loose = [task for task in self.tasks if task.wheel_id is None]
        stage = loose[pick % len(loose)]
        if self.loose_at(stage) < 2 and pick % 5:
            for task in self.behind(stage):
                self.work_at(task, 1, 7 * task.units, 0, 7, cancelled_first=False)
        return stage

    def some(self, stage: Task, pick: int) -> int:
        """As many pieces as are there, or fewer, or now and then one too many."""
        return 1 + pick % (self.loose_at(stage) + 1)

    def work_at(
        self, task: Task, hand: int, made: int, spoiled: int, minutes: int | None, *, cancelled_first: bool
    ) -> None:
        lost = 1 if spoiled and made else 0
        did = Yield(made=made, spoiled=spoiled, lost=lost, reason="timber" if spoiled else "")
        # A device names the place; what was dropped is met by its own number only.
        at = {"lot_id": task.lot_id, "wheel_id": task.wheel_id} if task.pk in self.live else {"task_id": task.pk}
        fact = self.fact(task, hand, minutes, (replace(did, **at),))
        adds = {task.pk: (made, spoiled, lost, 60 * (minutes or 0))}
        changed = replace(fact, note="other content")
        told = Told(
            fact.token,
            adds,
            lambda: record(fact, now=self.now()),
            lambda: record(changed, now=self.now()),
            hand_id=fact.hand_id,
        )
        self.tell(told, cancelled_first=cancelled_first)
        if cancelled_first:
            self.take_back(told)

    @rule(pick=PICK, hand=PICK, first=COUNT, second=COUNT, seconds=st.integers(0, 5000))
    def record_one_stretch_on_two_wheels(self, pick: int, hand: int, first: int, second: int, seconds: int) -> None:
        at_wheels = [task for task in self.tasks if task.wheel_id]
        task = at_wheels[pick % len(at_wheels)]
        other = next(row for row in at_wheels if row.operation_id == task.operation_id and row.pk != task.pk)
        yields = (Yield(task_id=task.pk, made=first, seconds=seconds), Yield(task_id=other.pk, made=second, seconds=7))
        fact = replace(self.fact(task, hand, None, yields), seconds=seconds + 7)
        adds = {task.pk: (first, 0, 0, seconds), other.pk: (second, 0, 0, 7)}
        self.tell(Told(fact.token, adds, lambda: record(fact, now=self.now())), cancelled_first=False)

    @precondition(lambda self: self.told)
    @rule(pick=PICK)
    def replay(self, pick: int) -> None:
        told = self.told[pick % len(self.told)]
        assert not told.send().fresh

    @precondition(lambda self: any(told.send_changed for told in self.told))
    @rule(pick=PICK)
    def same_token_with_other_content(self, pick: int) -> None:
        changeable = [told for told in self.told if told.send_changed]
        told = changeable[pick % len(changeable)]
        assert told.send_changed
        with pytest.raises(FactRefused, match="other content"):
            told.send_changed()

    @precondition(lambda self: self.told)
    @rule(pick=PICK)
    def cancel_a_fact(self, pick: int) -> None:
        # Mostly one of the last: what was done since on the same wheel is what makes it hard.
        told = self.told[-1 - pick % min(len(self.told), 6)]
        assert cancel(self.wish(told.token), now=self.now()).fresh != told.is_cancelled
        if not told.is_cancelled:
            self.take_back(told)

    @rule(pick=PICK, more=PICK, back=st.integers(0, 2))
    def move(self, pick: int, more: int, back: int) -> None:
        """Pieces go to the other lot as they are, or `back` operations earlier, to be cut again from there."""
        stage = self.stage(pick)
        pieces = self.some(stage, more)
        behind = self.behind(stage)
        source = behind[-1 - min(back, len(behind) - 1)]
        since = behind[behind.index(source) + 1 :]
        target = next(t for t in self.tasks if t.operation_id == source.operation_id and t.lot_id != source.lot_id)
        by = self.hands[0].user_id
        wish = MoveWish(uuid.uuid4(), source.pk, target.pk, pieces, "they fit", by, NOW - timedelta(days=1))

        def send() -> None:
            if since:
                move_cut_again(wish, stage_task_id=stage.pk, now=self.now())
            else:
                move_pieces(wish, now=self.now())

        lost = {task.pk: (0, 0, task.units * min(pieces, self.whole(task)), 0) for task in since if self.whole(task)}
        is_there = self.loose_at(stage) >= pieces
        self.add(lost)
        # By the book they may never have had the operation that they are to be cut again from.
        if not is_there or self.loose_at(source) < pieces:
            self.add(lost, -1)
            with pytest.raises(FactRefused, match="such pieces"):
                send()
            return
        moved: dict[int, Counts] = {}
        for task, ahead in zip(self.behind(source), self.behind(target), strict=True):
            gone = min(pieces, self.whole(task))
            moved |= {task.pk: (-gone * task.units, 0, 0, 0), ahead.pk: (gone * ahead.units, 0, 0, 0)}
        self.add(moved)
        send()
        send()
        self.moves[wish.token] = Moved(target, pieces, moved | lost)
        if since:
            self.desk_stretches += 1

    @rule(pick=PICK, more=PICK)
    def throw_away(self, pick: int, more: int) -> None:
        task = self.stage(pick)
        pieces = self.some(task, more)
        wish = AsideWish(uuid.uuid4(), task.pk, pieces, "of no use", self.hands[0].user_id, NOW)
        if self.loose_at(task) < pieces:
            with pytest.raises(FactRefused, match="such pieces"):
                set_aside(wish, now=self.now())
            return
        told = Told(
            wish.token,
            {task.pk: (0, pieces, pieces * task.units, 0)},
            lambda: set_aside(wish, now=self.now()),
            lambda: set_aside(replace(wish, pieces=pieces + 1), now=self.now()),
        )
        self.tell(told, cancelled_first=False)

    @precondition(lambda self: self.moves)
    @rule(pick=PICK)
    def cancel_a_move(self, pick: int) -> None:
        token = list(self.moves)[-1 - pick % min(len(self.moves), 4)]
        moved = self.moves[token]
        wish = {"cancel_token": uuid.uuid4(), "hand_id": self.hands[0].user_id, "now": self.now()}
        if not moved.is_cancelled and self.loose_at(moved.to) < moved.pieces:
            with pytest.raises(FactRefused, match="still as they came"):
                cancel_move(token, **wish)  # type: ignore[arg-type]
            return
        cancel_move(token, **wish)  # type: ignore[arg-type]
        if not moved.is_cancelled:
            moved.is_cancelled = True
            self.add(moved.adds, -1)
            self.desk_stretches += any(lost for _, _, lost, _ in moved.adds.values())

    @rule(pick=PICK, saved=st.integers(0, 3), minutes=MINUTES, cancelled_first=st.booleans())
    def spoil_a_hub(self, pick: int, saved: int, minutes: int | None, cancelled_first: bool) -> None:
        wheel = self.wheels[pick % len(self.wheels)]
        here = {t.operation.key: t for t in self.tasks if t.wheel_id == wheel.pk and t.pk in self.live}
        if "chop-mortise" not in here:
            return  # the wheel was dropped: nothing of it is in the work
        seconds = 60 * (minutes or 0)
        worked = [key for key in HUB_WORK if self.counts.get(here[key].pk, ZERO)[0] > 0]
        hub = here[worked[-1] if worked else HUB_WORK[0]]
        made, _, lost, _ = self.counts.get(hub.pk, ZERO)
        adds, kept = {hub.pk: (0, 1, max(0, made - lost), seconds)}, {}
        for kind, key in PUT_IN.items():
            there = max(0, self.usable(here[key]))
            kept[kind] = min(saved, there)
            if there > kept[kind]:
                adds[here[key].pk] = (0, there - kept[kind], there - kept[kind], 0)
        at = Yield(wheel_id=wheel.pk, spoiled=1, reason="work")
        fact = self.fact(here["chop-mortise"], pick, minutes, (at,))
        told = Told(
            fact.token,
            adds,
            lambda: record_spoiled_hub(fact, wheel, saved=kept, now=self.now()),
            hand_id=fact.hand_id,
        )
        self.tell(told, cancelled_first=cancelled_first)
        self.note_renewal(told, here)
        if cancelled_first:
            self.take_back(told)

    @rule(pick=PICK)
    def drop_a_wheel(self, pick: int) -> None:
        # Seldom, or all the work would soon be on dropped wheels.
        if pick % 5:
            return
        wheel = self.wheels[pick % len(self.wheels)]
        drop_wheel(wheel, at=self.now())
        self.dropped.add(wheel.pk)
        self.live -= {task.pk for task in self.tasks if task.wheel_id == wheel.pk}
        if {other.pk for other in self.wheels if other.lot_id == wheel.lot_id} <= self.dropped:
            self.live -= {task.pk for task in self.tasks if task.lot_id == wheel.lot_id}

    # What must hold.

    @invariant()
    def the_model_agrees(self) -> None:
        counted = {
            pk: counts
            for pk, *counts in Task.objects.values_list("pk", "made", "spoiled", "lost", "seconds")
            if any(counts)
        }
        expected = {pk: list(counts) for pk, counts in self.counts.items() if any(counts)}
        assert counted == expected

    @invariant()
    def what_is_in_the_work_agrees(self) -> None:
        assert set(Task.objects.live().values_list("pk", flat=True)) == self.live

    @invariant()
    def recount_is_clean(self) -> None:
        assert find_faults() == []

    @invariant()
    def each_fact_is_there_once(self) -> None:
        undone = sum(told.is_cancelled for told in self.told)
        assert Stretch.objects.count() == len(self.told) + undone + self.desk_stretches
        assert AwaitedCancel.objects.count() == 0


@pytest.mark.django_db
def test_counters_equal_facts_whatever_happens(osk: Hand, bram: Hand) -> None:
    Operation.objects.exclude(key__in=WORK).update(retired_at=NOW)
    for places in (["near", "off"], ["loose"]):
        take_pair(rows=[WheelRow(makeup(spokes=4, felloes=2), "small", places)])
    # An operation may be several units in a piece, and not the same in another lot.
    Task.objects.filter(operation__key="cut-foot").update(units=2)
    Task.objects.filter(operation__key="cut-foot", lot=Task.objects.order_by("-pk")[0].lot).update(units=3)
    CountersEqualFacts.hands = [osk, bram]
    run_state_machine_as_test(
        CountersEqualFacts,
        settings=settings(
            # Of 50 steps each, and all is recounted after every step.
            max_examples=max(10, settings.default.max_examples // 4),
            stateful_step_count=50,
            deadline=None,
            database=None,
            derandomize=True,
            suppress_health_check=list(HealthCheck),
        ),
    )


@pytest.mark.django_db
def test_the_check_can_fail(osk: Hand) -> None:
    """A counter that something else wrote is found."""
    order = take_pair()
    task = Task.objects.filter(lot__order=order)[0]
    Task.objects.filter(pk=task.pk).update(made=1)
    assert [fault.task_id for fault in find_faults()] == [task.pk]
