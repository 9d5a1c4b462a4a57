"""How few minutes of driving any plan must take that visits certain places: a bound that no plan can beat.

Each route is a loop through a base. Take one of its drives to the base away from each, and what is left joins all
places and the base: it can't be shorter than the shortest net that does (a minimum spanning tree), and the drives taken
away can't be shorter than the shortest drives to the base, one for each route. Charging places that the net
touches too often, and paying those that it touches too seldom (Held and Karp), raises the bound without ever making it
too high, because a route touches each place with two drives.
"""

from collections.abc import Sequence

from register.planning.travel import Travel

ROUNDS = 60
"""How often the charges are set anew."""

WORTH_SAYING = 0.25
"""A gap above this says little about the plan, so it is not told."""


def least_drive(travel: Travel, bases: Sequence[int], places: Sequence[int], routes: int = 1) -> float:
    """Return minutes that no plan beats which visits all places on at least so many routes from and to bases.

    It holds for any times, vans and other places visited on the way.
    """
    if not places:
        return 0.0
    drives, home = _shortest(travel, bases, places)
    charges = [0.0] * len(places)
    best, step = 0.0, max(home) / 2 if home else 0.0
    for _ in range(ROUNDS):
        value, touched = _net(drives, home, charges, max(1, routes))
        best = max(best, value)
        off = sum((count - 2) ** 2 for count in touched)
        if not off or step < 0.01:  # noqa: PLR2004 - a hundredth of a minute
            break
        charges = [charge + step * (count - 2) for charge, count in zip(charges, touched, strict=True)]
        step *= 0.93
    return best


def _shortest(travel: Travel, bases: Sequence[int], places: Sequence[int]) -> tuple[list[list[float]], list[float]]:
    """Return the shortest drive between any two places and to any base, in either direction, by any way."""
    size = len(travel.minutes)
    best = [[float(min(travel.minutes[i][j], travel.minutes[j][i])) for j in range(size)] for i in range(size)]
    for via in () if travel.direct else range(size):
        through = best[via]
        for row in best:
            first = row[via]
            for j, second in enumerate(through):
                row[j] = min(row[j], first + second)
    return [[best[i][j] for j in places] for i in places], [min(best[i][base] for base in bases) for i in places]


def _net(drives: list[list[float]], home: list[float], charges: list[float], routes: int) -> tuple[float, list[int]]:
    """Return the bound for some charges, and how many drives touch each place."""
    size = len(home)
    touched = [0] * size
    reach = [home[i] + charges[i] for i in range(size)]
    joined_to = [-1] * size
    free = set(range(size))
    total = 0.0
    while free:
        place = min(free, key=reach.__getitem__)
        free.remove(place)
        total += reach[place]
        touched[place] += 1
        if joined_to[place] >= 0:
            touched[joined_to[place]] += 1
        row, charge = drives[place], charges[place]
        for other in free:
            drive = row[other] + charge + charges[other]
            if drive < reach[other]:
                reach[other], joined_to[other] = drive, place
    ends = sorted(range(size), key=lambda i: home[i] + charges[i])
    for count, place in enumerate(ends):
        drive = home[place] + charges[place]
        if count >= routes and drive >= 0:
            break
        total += drive
        touched[place] += 1
    return total - 2 * sum(charges), touched
