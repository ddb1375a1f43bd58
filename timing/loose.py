"""The loose pieces of one lot and kind, by how far they are: read inside the write that uses them."""

from jobs.models import Task
from jobs.progress import loose_by_stage
from jobs.work import load_lot


class LoosePieces:
    """Pieces of a task's part that are in no wheel yet, counted when this is made."""

    def __init__(self, task: Task) -> None:
        lot, self._work = load_lot(task.lot_id)
        tasks = self._work.tasks(lot=lot, dropped=True)
        self._own = [other for other in tasks if other.part_id == task.part_id]
        self._at = {at.pk: here for at, here in loose_by_stage(task.operation.part, lot, tasks, self._work.counts)}

    def at(self, task: Task) -> int:
        """Pieces whose last operation this is; spoiled ones are not among them."""
        return self._at.get(task.pk, 0)

    def written_down(self, task: Task) -> int:
        """Pieces that are said to have had the operation: a book may be behind for an early one."""
        return max(0, self._work.good(task)) // task.units

    def up_to(self, task: Task) -> list[Task]:
        """The task and those before it, in the order of the work."""
        return [own for own in self._own if own.operation.position <= task.operation.position]


def lock_part(*task_ids: int) -> dict[int, Task]:
    """Lock the tasks of these tasks' parts in the order of their ids, so that no two moves count the same pieces.

    Returns those that were asked for and exist, by id.
    """
    rows = Task.objects.filter(part__in=Task.objects.filter(pk__in=task_ids).values("part")).order_by("pk")
    return {row.pk: row for row in rows.select_for_update(of=("self",)).select_related("operation")}
