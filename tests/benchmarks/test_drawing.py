"""The small form is what the order book draws by the hundred: it must cost less than the full wheel."""

import time

from jobs.drawing import WheelProgress, draw_small, draw_wheel
from tests.factories import makeup

BUSY = WheelProgress(hub=0.5, bands=("on", "smith"), spokes=(0.5,) * 14, felloes=(0.5,) * 7, tyre="made")


def test_a_small_wheel_is_cheaper_than_a_full_one() -> None:
    spent = {"small": 0.0, "full": 0.0}
    for _ in range(300):
        for name, draw, scale in (("small", draw_small, 1 / 15), ("full", draw_wheel, 0.15)):
            begun = time.process_time()
            draw(makeup(), BUSY, scale=scale, title="A wheel")
            spent[name] += time.process_time() - begun
    ratio = spent["small"] / spent["full"]
    print(f"a small wheel takes {spent['small'] / 300 * 1000:.2f} ms, {ratio:.2f} of a full one")
    assert ratio < 0.9
