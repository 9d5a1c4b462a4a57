"""Routes and distances against published instances and a published worked example.

- gr17 (TSPLIB, optimum 2085): the matrix as it stands in the source package of tsplib95 0.7.1, tests/data/gr17.tsp.
- burma14 (3323) and berlin52 (7542), TSPLIB: coordinates and optima typed from memory.
- eil51 (optimum 426), TSPLIB: coordinates and optimum as two public repositories keep them alike, eil51.tsp of
  LucasMGutierrez/TSP_ACO and a copy within a program; tsplib95 0.7.1 does not carry it.
- RC208 (Solomon): tests/data/RC208.vrp of the source package of PyVRP 0.14.1, with its best known cost 776.1 under the
  DIMACS convention: distances cut to one decimal, which are the driving times too; waiting costs nothing there.
- Los Angeles to New York: the worked example of Ed Williams's Aviation Formulary, 0.623585 radians; from memory.
"""

import math
from pathlib import Path

import pytest

from register.planning.bound import least_drive
from register.planning.problem import Problem, Routes, Shift, Stop, Way, drive_minutes
from register.planning.routes import solve
from register.planning.timing import timed
from register.planning.travel import EARTH_RADIUS_KM, Place, Travel, great_circle_km

WORTH = 10**6
LONG = 10**6
Matrix = list[list[int]]

GR17 = """0 633 0 257 390 0 91 661 228 0 412 227 169 383 0 150 488 112 120 267 0 80 572 196 77 351 63 0
134 530 154 105 309 34 29 0 259 555 372 175 338 264 232 249 0 505 289 262 476 196 360 444 402 495 0
353 282 110 324 61 208 292 250 352 154 0 324 638 437 240 421 329 297 314 95 578 435 0
70 567 191 27 346 83 47 68 189 439 287 254 0 211 466 74 182 243 105 150 108 326 336 184 391 145 0
268 420 53 239 199 123 207 165 383 240 140 448 202 57 0 246 745 472 237 528 364 332 349 202 685 542 157 289 426 483 0
121 518 142 84 297 35 29 36 236 390 238 301 55 96 153 336 0"""

BURMA14 = """16.47 96.10 16.47 94.44 20.09 92.54 22.39 93.37 25.23 97.24 22.00 96.05 20.47 97.02 17.20 96.29 16.30 97.38
14.05 98.12 16.53 97.38 21.52 95.59 19.41 97.13 20.09 94.55"""

BERLIN52 = """565 575 25 185 345 750 945 685 845 655 880 660 25 230 525 1000 580 1175 650 1130 1605 620 1220 580 1465
200 1530 5 845 680 725 370 145 665 415 635 510 875 560 365 300 465 520 585 480 415 835 625 975 580 1215 245 1320 315
1250 400 660 180 410 250 420 555 575 665 1150 1160 700 580 685 595 685 610 770 610 795 645 720 635 760 650 475 960
95 260 875 920 700 500 555 815 830 485 1170 65 830 610 605 625 595 360 1340 725 1740 245"""

EIL51 = """37 52 49 49 52 64 20 26 40 30 21 47 17 63 31 62 52 33 51 21 42 41 31 32 5 25 12 42 36 16 52 41 27 23 17 33
13 13 57 58 62 42 42 57 16 57 8 52 7 38 27 68 30 48 43 67 58 48 58 27 37 69 38 46 46 10 61 33 62 63 63 69 32 22 45 35
59 15 5 6 10 17 21 10 5 64 30 15 39 10 32 39 25 32 25 55 48 28 56 37 30 40"""


def numbers(text: str) -> list[float]:
    return [float(word) for word in text.split()]


def pairs(text: str) -> list[tuple[float, float]]:
    found = numbers(text)
    return list(zip(found[::2], found[1::2], strict=True))


def lower_rows(text: str) -> Matrix:
    """Return a matrix of which the lower half is given, row by row."""
    given, size = iter(numbers(text)), 17
    half = [[int(next(given)) for _ in range(row + 1)] for row in range(size)]
    return [[half[max(i, j)][min(i, j)] for j in range(size)] for i in range(size)]


def euclidean(points: list[tuple[float, float]]) -> Matrix:
    return [[int(math.dist(one, other) + 0.5) for other in points] for one in points]


def geographic(points: list[tuple[float, float]]) -> Matrix:
    """Return distances as TSPLIB works them out from degrees and minutes."""

    def radians(value: float) -> float:
        return 3.141592 * (int(value) + 5 * (value - int(value)) / 3) / 180

    places = [(radians(lat), radians(lon)) for lat, lon in points]

    def far(one: tuple[float, float], other: tuple[float, float]) -> int:
        q1, q2, q3 = math.cos(one[1] - other[1]), math.cos(one[0] - other[0]), math.cos(one[0] + other[0])
        return int(6378.388 * math.acos(0.5 * ((1 + q1) * q2 - (1 - q1) * q3)) + 1)

    return [[0 if one == other else far(one, other) for other in places] for one in places]


def problem_of(matrix: Matrix, shifts: int = 1, windows: list[tuple[int, int, int]] | None = None) -> Problem:
    travel = Travel(tuple(tuple(map(float, row)) for row in matrix), tuple(map(tuple, matrix)))
    spans = windows or [(0, 0, LONG)] * len(matrix)
    stops = tuple(
        Stop(str(place), place, (Way(minutes, opens, closes + minutes, WORTH),))
        for place, (minutes, opens, closes) in enumerate(spans) if place
    )  # fmt: skip
    return Problem(travel, stops, (Shift(0, 0, 0, spans[0][2], 0, 0),) * shifts, waits_cost=False)


def length(problem: Problem, routes: Routes) -> int:
    return sum(drive_minutes(problem, shift, route) for shift, route in zip(problem.shifts, routes, strict=True))


@pytest.mark.parametrize(
    ("matrix", "optimum"),
    [
        (lower_rows(GR17), 2085),
        (geographic(pairs(BURMA14)), 3323),
        (euclidean(pairs(BERLIN52)), 7542),
        (euclidean(pairs(EIL51)), 426),
    ],
    ids=["gr17", "burma14", "berlin52", "eil51"],
)
def test_tours_are_within_a_hundredth_of_the_shortest_and_the_bound_is_below_it(matrix: Matrix, optimum: int) -> None:
    problem = problem_of(matrix)
    found = solve(problem, effort=1.0)
    assert sum(map(len, found)) == len(matrix) - 1
    assert optimum <= length(problem, found) <= 1.01 * optimum
    bound = least_drive(problem.travel, [0], list(range(1, len(matrix))))
    assert 0.8 * optimum <= bound <= optimum


def solomon(text: str) -> tuple[Matrix, list[tuple[int, int, int]], list[int]]:
    """Return the distances, the windows with service, and the demands of an instance, in tenths."""
    sections: dict[str, list[list[float]]] = {}
    section, service = "", 0
    for line in text.splitlines():
        if line.endswith("SECTION"):
            section = line
        elif line.startswith("SERVICE_TIME"):
            service = int(line.split(":")[1])
        elif section and line[:1].isdigit():
            sections.setdefault(section, []).append(numbers(line)[1:])
    points = sections["NODE_COORD_SECTION"]
    matrix = [[int(10 * math.dist(one, other)) for other in points] for one in points]
    windows = [
        (10 * service if place else 0, int(10 * opens), int(10 * closes))
        for place, (opens, closes) in enumerate(sections["TIME_WINDOW_SECTION"])
    ]
    return matrix, windows, [int(demand) for (demand,) in sections["DEMAND_SECTION"]]


def test_routes_with_time_windows_are_within_three_hundredths_of_the_best_known() -> None:
    text = (Path(__file__).parent / "data" / "RC208.vrp").read_text(encoding="utf-8")
    matrix, windows, demands = solomon(text)
    problem = problem_of(matrix, 6, windows)
    found = solve(problem, effort=5.0)
    assert sum(map(len, found)) == 100
    assert all(timed(problem, shift, route).fits for shift, route in zip(problem.shifts, found, strict=True))
    assert all(sum(demands[problem.stops[stop].place] for stop, _ in route) <= 1000 for route in found)
    assert 7761 <= length(problem, found) <= 1.03 * 7761


def test_a_great_circle_is_that_of_the_aviation_formulary() -> None:
    los_angeles, new_york = Place(33 + 57 / 60, -(118 + 24 / 60)), Place(40 + 38 / 60, -(73 + 47 / 60))
    assert great_circle_km(los_angeles, new_york) / EARTH_RADIUS_KM == pytest.approx(0.623585, abs=5e-7)
