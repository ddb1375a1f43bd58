"""What is to be made: orders, make-ups, wheels, parts, operations and tasks."""

from jobs.models.makeups import LibraryMakeUp, MakeUpColumns
from jobs.models.operations import Operation, Wait
from jobs.models.orders import Customer, Order, Promise
from jobs.models.waiting import FoundUnits, Hold, Measure, Trip
from jobs.models.wheels import Lot, Part, Task, Wheel

__all__ = [
    "Customer",
    "FoundUnits",
    "Hold",
    "LibraryMakeUp",
    "Lot",
    "MakeUpColumns",
    "Measure",
    "Operation",
    "Order",
    "Part",
    "Promise",
    "Task",
    "Trip",
    "Wait",
    "Wheel",
]
