"""Changes to a taken order: a wheel dropped, a make-up changed, a part made anew, work found in a repair.

Work done is never thrown away: tasks are dropped with their counters, and their facts stay readable.
"""

from collections.abc import Collection, Mapping, Sequence
from datetime import datetime

from django.db.models import F, Q, Sum

from jobs.layout import count_for, lay_out, new_part, units_in_a_wheel
from jobs.makeup import MakeUp
from jobs.models import Customer, FoundUnits, Hold, Lot, Operation, Order, Part, Task, Wheel
from jobs.models.operations import PartKind, Per
from jobs.orders import OrderRefused, WheelRow, check_row, customer_named, hold_order, lift_holds
from jobs.work import Work, load_lot, taking_operations
from jobs.writing import writing


def drop_wheel(wheel: Wheel, *, at: datetime) -> None:
    """Leave a wheel out. Its facts stay; loose pieces not yet in it are no longer wanted of the lot.

    Dropping it twice changes nothing.
    """
    with writing():
        # A list of what was found on it, or the customer's no to that, waits or has been.
        hold_order(wheel.lot.order_id)
        if not Wheel.objects.filter(pk=wheel.pk, dropped_at=None).update(dropped_at=at):
            return
        (in_it,) = _pieces_in([wheel])
        _want_fewer_loose_pieces(wheel, _found_for(wheel), in_it)
        lift_holds(Hold.objects.filter(Q(wheel=wheel) | Q(found__wheel=wheel)), at=at)
        FoundUnits.objects.filter(wheel=wheel, left_out_at=None).update(left_out_at=at)
        _drop_work_of(wheel, at=at)


def _drop_work_of(wheel: Wheel, *, at: datetime) -> None:
    """Drop the tasks of a dropped wheel; with the last wheel of its lot, the lot."""
    Task.objects.filter(wheel=wheel, dropped_at=None).update(dropped_at=at)
    if not Wheel.objects.filter(lot=wheel.lot, dropped_at=None).exists():
        Lot.objects.filter(pk=wheel.lot_id).update(dropped_at=at)
        lift_holds(Hold.objects.filter(lot=wheel.lot), at=at)
        Task.objects.filter(lot=wheel.lot, dropped_at=None).update(dropped_at=at)


def _found_for(wheel: Wheel) -> dict[int, int]:
    """Units that a wheel was found to need, by task: its own, and of the lot's loose ones those listed for it.

    Of loose ones that were listed for no wheel in particular it has its share.
    """
    listed = FoundUnits.objects.filter(task__lot=wheel.lot, left_out_at=None)
    by_task = dict(listed.filter(wheel=wheel).values_list("task").annotate(Sum("units")).order_by())
    never_listed = Task.objects.live().filter(lot=wheel.lot, origin=Task.Origin.FOUND, found=None)
    others = Wheel.objects.filter(lot=wheel.lot, dropped_at=None).exclude(pk=wheel.pk).count()
    for task in never_listed.filter(Q(wheel=None) | Q(wheel=wheel)):
        by_task[task.pk] = task.wanted if task.wheel_id else task.wanted // (others + 1)
    return by_task


def _want_fewer_loose_pieces(wheel: Wheel, found: Mapping[int, int], in_it: Mapping[str, int]) -> None:
    """Pieces that are in the wheel now stay counted as wanted: they were made, and are gone with it."""
    makeup = wheel.lot.makeup
    for task in Task.objects.live().filter(lot=wheel.lot, wheel=None).select_related("operation"):
        if task.operation.per == Per.HEAT:
            continue
        laid_out = 0 if task.origin == Task.Origin.FOUND else units_in_a_wheel(task.operation, makeup)
        fewer = laid_out + found.get(task.pk, 0) - task.units * in_it.get(task.operation.part, 0)
        Task.objects.filter(pk=task.pk).update(wanted=F("wanted") - max(0, min(fewer, task.wanted)))


def _pieces_in(wheels: Sequence[Wheel]) -> list[dict[str, int]]:
    """Loose pieces that each of a lot's wheels has taken, by kind.

    Those spoiled in it since are loose pieces lost, and not in it.
    """
    lot, work = load_lot(wheels[0].lot_id)
    taking = taking_operations()
    return [_taken(work.tasks(wheel=wheel), lot, work, taking) for wheel in wheels]


def _taken(own: Sequence[Task], lot: Lot, work: Work, taking: Collection[int]) -> dict[str, int]:
    found = {task.operation.part: max(0, work.good(task)) // task.units for task in own if task.operation_id in taking}
    pressed = next((task for task in own if task.operation.key == "press-hub" and work.good(task) > 0), None)
    if pressed is not None:
        spokes = [task for task in own if task.operation.part == PartKind.SPOKE]
        since = sum(task.spoiled for task in spokes if task.operation.position > pressed.operation.position)
        found[PartKind.SPOKE] = max(0, lot.spokes - since)
    return found


def change_makeup(wheels: Sequence[Wheel], makeup: MakeUp, *, name: str, at: datetime) -> Lot:
    """Give some wheels of a lot another make-up: a new lot with fresh tasks takes their places.

    What was made for the old wheels stays with them; pieces that fit are carried over by moves afterwards.
    The lot's spares go with its last wheels. The same change sent twice gives the lot of the first time.
    Raises OrderRefused where the make-up can't be built, or a wheel was dropped or changed meanwhile.
    """
    if not wheels:
        raise OrderRefused("Say which wheels are to have another make-up.")
    old = wheels[0].lot
    row = WheelRow(makeup=makeup, name=name, places=[wheel.place for wheel in wheels], work=old.work)
    check_row(row)
    with writing():
        hold_order(old.order_id)
        before = _changed_before(wheels, makeup)
        if before:
            return before
        all_of_it = Wheel.objects.filter(lot=old, dropped_at=None).count() == len(wheels)
        lot = Lot.from_makeup(
            makeup,
            order=old.order,
            name=name,
            work=old.work,
            spare_spokes=old.spare_spokes if all_of_it else 0,
            spare_felloes=old.spare_felloes if all_of_it else 0,
            replaces=old,
        )
        lot.save()
        fresh = [Wheel(lot=lot, place=wheel.place, number=wheel.number, replaces=wheel) for wheel in wheels]
        Wheel.objects.bulk_create(fresh)
        lay_out(lot, fresh, Operation.objects.in_use())
        _carry_holds(old, lot, dict(zip(wheels, fresh, strict=True)), all_of_it=all_of_it)
        for wheel, instead, in_it in zip(wheels, fresh, _pieces_in(wheels), strict=True):
            Wheel.objects.filter(pk=wheel.pk).update(dropped_at=at)
            found = _found_for(wheel)
            _want_fewer_loose_pieces(wheel, found, in_it)
            _carry_found(wheel, instead, found)
            _drop_work_of(wheel, at=at)
    return lot


def _carry_holds(old: Lot, new: Lot, wheels: Mapping[Wheel, Wheel], *, all_of_it: bool) -> None:
    """What the old wheels wait for, the new ones wait for. What a whole lot waits for, each part of it does."""
    for wheel, instead in wheels.items():
        Hold.objects.filter(wheel=wheel, lifted_at=None).update(lot=new, wheel=instead)
    for hold in Hold.objects.filter(lot=old, wheel=None, lifted_at=None):
        asked_for = set(hold.found.values_list("wheel", flat=True))
        if all_of_it or (asked_for and asked_for <= {wheel.pk for wheel in wheels}):
            hold.lot = new
            hold.save(update_fields=["lot"])
        elif not asked_for:
            hold.pk, hold.lot = None, new
            hold.save(force_insert=True)


def _carry_found(wheel: Wheel, instead: Wheel, found: Mapping[int, int]) -> None:
    """What a wheel was found to need, the wheel in its place needs; who was asked for it stays known."""
    for task in Task.objects.filter(pk__in=found).select_related("operation"):
        if not found[task.pk]:
            continue
        afresh = add_found(instead.lot, task.operation, wanted=found[task.pk], wheel=instead)
        FoundUnits.objects.filter(task=task, wheel=wheel, left_out_at=None).update(task=afresh, wheel=instead)


def _changed_before(wheels: Sequence[Wheel], makeup: MakeUp) -> Lot | None:
    """The lot that these wheels have gone to already, where it is of that make-up."""
    now = list(Wheel.objects.filter(pk__in=[wheel.pk for wheel in wheels]))
    if all(wheel.dropped_at is None for wheel in now):
        return None
    lots = {fresh.lot for fresh in Wheel.objects.filter(replaces__in=now).select_related("lot")}
    replaced = Wheel.objects.filter(replaces__in=now).values("replaces").distinct().count()
    if len(lots) == 1 and replaced == len(now):
        lot = lots.pop()
        if lot.makeup == makeup:
            return lot
    gone = next(wheel for wheel in now if wheel.dropped_at is not None)
    raise OrderRefused(f"The {gone.label} wheel was changed or dropped meanwhile: look at the order as it is now.")


def set_spares(lot: Lot, *, spokes: int, felloes: int) -> None:
    """Make so many loose pieces over: it raises or lowers what the lot wants, and no wheel."""
    with writing():
        hold_order(lot.order_id)
        there = Lot.objects.get(pk=lot.pk)
        more = {PartKind.SPOKE: spokes - there.spare_spokes, PartKind.FELLOE: felloes - there.spare_felloes}
        for kind, number in more.items():
            if not number:
                continue
            Part.objects.filter(lot=lot, wheel=None, kind=kind, dropped_at=None).update(pieces=F("pieces") + number)
            for task in Task.objects.live().filter(lot=lot, wheel=None, operation__part=kind):
                wanted = max(0, task.wanted + number * task.units)
                Task.objects.filter(pk=task.pk).update(wanted=wanted)
        Lot.objects.filter(pk=lot.pk).update(spare_spokes=spokes, spare_felloes=felloes)


def details_of(order_id: int) -> Order:
    """An order with its customer as they stand now; who asks inside a write keeps others from changing them."""
    hold_order(order_id)
    order = Order.objects.get(pk=order_id)
    order.customer = Customer.objects.select_for_update().get(pk=order.customer_id)
    return order


def change_details(order: Order, *, customer: str, contact: str, carriage: str, note: str) -> None:
    """Put right for whom an order is and what is said of it.

    Raises OrderRefused where the name of who it is for, or is to be for, was replaced by a number.
    """
    with writing():
        now = details_of(order.pk)
        now.customer = _customer_told(now.customer, customer, contact)
        now.carriage, now.note = carriage, note
        now.save(update_fields=["customer", "carriage", "note"])


def _customer_told(before: Customer, name: str, contact: str) -> Customer:
    """The customer of this name. A known one keeps their own contact when an order comes to them from another.

    The form came with the other's contact: left as it was, it tells how to reach nobody but one who is new.
    """
    who = customer_named(name, before=before)
    if who == before:
        if who.contact != contact:
            if who.replaced_at:
                raise OrderRefused(f"{who.name} is a number for good: there is nobody to reach.")
            who.contact = contact
            who.save(update_fields=["contact"])
        return who
    is_new = not who.orders.exists()
    return customer_named(name, contact=contact if is_new or contact != before.contact else "")


def renew_parts(wheel: Wheel, kinds: Sequence[str], *, at: datetime) -> list[Part]:
    """Make parts of a wheel anew: each old part keeps its facts, and a new one gets the same tasks afresh."""
    with writing():
        # Two hubs of one wheel told as spoiled at once wait for each other here.
        Wheel.objects.select_for_update().get(pk=wheel.pk)
        renewed = []
        for old in Part.objects.filter(wheel=wheel, kind__in=kinds, dropped_at=None):
            tasks = list(Task.objects.live().filter(part=old))
            Part.objects.filter(pk=old.pk).update(dropped_at=at)
            Task.objects.filter(part=old, dropped_at=None).update(dropped_at=at)
            part = Part.objects.create(lot_id=old.lot_id, wheel=wheel, kind=old.kind, pieces=old.pieces, replaces=old)
            Task.objects.bulk_create(
                Task(
                    part=part,
                    lot_id=task.lot_id,
                    wheel=wheel,
                    operation_id=task.operation_id,
                    origin=Task.Origin.REWORK,
                    units=task.units,
                    wanted=task.wanted,
                )
                for task in tasks
            )
            renewed.append(part)
        return renewed


def take_back_renewal(part: Part, *, at: datetime) -> bool:
    """Undo a renewal that was a slip: only while nothing has been done on the new part.

    Says whether it was taken back.
    """
    with writing():
        # Read anew: a part that was just made knows its old one as it was before.
        old = Part.objects.filter(replaced_by=part).first()
        touched = Task.objects.filter(part=part).exclude(made=0, spoiled=0, seconds=0).exists()
        if old is None or touched:
            return False
        Task.objects.filter(part=part, dropped_at=None).update(dropped_at=at)
        # The new part goes first: a wheel has one live part of a kind. It gives up its claim to replace the old
        # one, which may be spoiled again, and then in earnest.
        Part.objects.filter(pk=part.pk).update(dropped_at=at, replaces=None)
        Part.objects.filter(pk=old.pk).update(dropped_at=None)
        # A wheel that was dropped meanwhile stays dropped, and its work with it.
        if part.wheel is None or part.wheel.dropped_at is None:
            Task.objects.filter(part=old, dropped_at=old.dropped_at).update(dropped_at=None)
        return True


def add_found(lot: Lot, operation: Operation, *, wanted: int, wheel: Wheel | None = None) -> Task:
    """Add work that a repair was found to need. Asking for the same again adds to what is wanted.

    Where it was left out before, what was done of it then is not asked for again, nor counted as done now.
    """
    with writing():
        if operation.for_lot:
            wheel = None
        part = Part.objects.filter(lot=lot, wheel=wheel, kind=operation.part, dropped_at=None).first()
        if part is None:
            part = new_part(lot, wheel, operation.part, wheels=1)
            part.pieces = max(1, wanted if operation.part in (PartKind.SPOKE, PartKind.FELLOE) else part.pieces)
            part.save()
        units = count_for(operation, lot, wheels=1).units
        task, made_now = Task.objects.get_or_create(
            part=part,
            operation=operation,
            defaults={
                "lot": lot,
                "wheel": wheel,
                "origin": Task.Origin.FOUND,
                "units": units,
                "wanted": wanted,
            },
        )
        if not made_now:
            begun = task.wanted if task.dropped_at is None else max(0, task.made - task.lost)
            Task.objects.filter(pk=task.pk).update(wanted=begun + wanted, dropped_at=None)
            task.refresh_from_db()
        return task


def drop_task(task: Task, *, at: datetime) -> None:
    """Leave a piece of work out; what was done of it stays."""
    with writing():
        Task.objects.filter(pk=task.pk, dropped_at=None).update(dropped_at=at)
