"""What every sum of timber refuses alike."""


class TimberError(ValueError):
    """A sum of timber that can't be done; the message is one sentence for the person who asked for it."""


def checked_moisture(percent: float) -> float:
    """Moisture in per cent of the ovendry mass, once it is possible. Raises TimberError."""
    # The wettest green wood of the Wood Handbook (sapwood of western redcedar, about 250 %, from memory) is under this.
    if not 0 <= percent <= 300:
        raise TimberError(f"A moisture of {percent:g} % can't be: it is from 0 % (oven-dry) to 300 %.")
    return percent


def checked_size(nm: float, name: str) -> float:
    """A size in nanometres, once it is more than nothing. Raises TimberError."""
    if not nm > 0:
        raise TimberError(f"{name[0].upper()}{name[1:]} must be more than nothing.")
    return nm
