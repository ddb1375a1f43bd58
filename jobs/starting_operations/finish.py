"""The finish, and the rubber tyre that goes on after it."""

from jobs.starting_operations.row import RUBBER, StartOperation, op

FINISH_OPERATIONS: tuple[StartOperation, ...] = (
    op(
        "coat",
        "Coat: prime, body, varnish",
        "coated",
        "finish",
        "coat",
        25,
        for_lot=True,
        trade="painter",
        waits=(("fit-box", "piece"), ("shrink-tyre", "piece", 12 * 60)),
        notes="stands 16 to 48 h each",
    ),
    op(
        "line",
        "Line",
        "lined",
        "finish",
        "wheel",
        75,
        trade="painter",
        chosen_by={"lined": ("True",)},
        waits=(("coat", "first", 16 * 60),),
        notes="after the body coats, before varnish",
    ),
    op(
        "fit-rubber",
        "Fit rubber, join wires",
        "fitted",
        "tyre",
        "wheel",
        45,
        hands=2,
        chosen_by=RUBBER,
        waits=(("coat", "lot", 16 * 60),),
    ),
)
