"""A fit as bytes, to be kept between pages, and read again only by a program that means the same by it."""

import io
import json
import zipfile
from dataclasses import asdict

import numpy as np

from timing.forecast.fit import Fit
from timing.forecast.spreads import Variance, Variances
from timing.forecast.work import Operation

# Goes up whenever a number of a fit means something else than before: what was kept is then fitted anew.
VERSION = 1
_ARRAYS = ("pairs", "pair_minutes", "timed", "numbers", "covariance")
_OWN_VARIANCES = ("batch", "batch_degrees", "piece", "piece_degrees")


class FitOutdated(ValueError):
    """What was kept is no fit that this program can use: fit anew."""


def to_bytes(fit: Fit, *, made_from: str) -> bytes:
    """The fit as plain arrays (numpy's npz) with a head in JSON. `made_from` names what it was fitted to."""
    variances = fit.variances
    head = {
        "version": VERSION,
        "made_from": made_from,
        "operations": [asdict(one) for one in fit.operations],
        "hands": fit.hands,
        "orders": fit.orders,
        "usual_size_nm": fit.usual_size_nm,
        "said": {name: _plain(one) for name, one in variances.said.items()},
        "order": _plain(variances.order),
        "wheel": _plain(variances.wheel),
        "stray_share": variances.stray_share,
    }
    arrays = {name: getattr(fit, name) for name in _ARRAYS} | {
        name: getattr(variances, name) for name in _OWN_VARIANCES
    }
    file = io.BytesIO()
    np.savez_compressed(file, head=np.frombuffer(json.dumps(head).encode(), dtype=np.uint8), **arrays)
    return file.getvalue()


def from_bytes(kept: bytes) -> tuple[Fit, str]:
    """The fit and what it was made from. FitOutdated where it is damaged, or of another version."""
    try:
        with np.load(io.BytesIO(kept), allow_pickle=False) as file:
            head = json.loads(file["head"].tobytes())
            if head["version"] != VERSION:
                raise FitOutdated(f"The fit was kept by version {head['version']}, and this is version {VERSION}.")
            arrays = {name: file[name] for name in (*_ARRAYS, *_OWN_VARIANCES)}
        variances = Variances(
            said={name: Variance(*one) for name, one in head["said"].items()},
            order=Variance(*head["order"]),
            wheel=Variance(*head["wheel"]),
            stray_share=head["stray_share"],
            **{name: arrays[name] for name in _OWN_VARIANCES},
        )
        fit = Fit(
            operations=tuple(Operation(**one) for one in head["operations"]),
            hands=tuple(head["hands"]),
            orders=head["orders"],
            usual_size_nm=head["usual_size_nm"],
            variances=variances,
            **{name: arrays[name] for name in _ARRAYS},
        )
    except FitOutdated:
        raise
    except (KeyError, TypeError, ValueError, OSError, EOFError, zipfile.BadZipFile) as error:
        raise FitOutdated("What was kept is no fit, or is damaged.") from error
    return fit, head["made_from"]


def _plain(variance: Variance) -> list[float]:
    return [variance.value, variance.degrees]
