"""How many there are of something, in words."""


def counted(number: int, one: str) -> str:
    """Return a number with its noun: "1 item", "2 items"."""
    return f"{number:,} {one}{'' if number == 1 else 's'}"
