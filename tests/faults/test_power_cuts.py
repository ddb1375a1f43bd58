"""The shop's machine loses its power: a small run of what `tests.faults.cutting` does at full size."""

from pathlib import Path

import pytest

from tests.faults.cutting import CutShop, cut

pytestmark = pytest.mark.usefixtures("gcc")


def test_nothing_acknowledged_is_lost(tmp_path: Path, example: Path) -> None:
    shop = CutShop(tmp_path, outcomes=4, example=example)
    cuts, report = cut(shop, facts=90, cuts=2)
    print(cuts)
    assert cuts.is_well, cuts
    assert report.is_well, report
    assert (report.acknowledged, cuts.cuts, cuts.outcomes) == (90, 2, 8)
    # Where nothing was left to chance, nothing was tried.
    assert cuts.unsynced > 0


def test_what_is_lost_with_less_care_is_found(tmp_path: Path, example: Path) -> None:
    shop = CutShop(tmp_path, outcomes=4, synchronous="NORMAL", example=example)
    cuts, _ = cut(shop, facts=80, cuts=1)
    print(cuts)
    assert cuts.lost > 0
    assert cuts.outcomes_with_losses > 0
    assert not cuts.is_well
