"""The one door to PyVRP: a week to be planned goes in, routes come out, and nothing else knows of it."""

from importlib.metadata import version
from typing import Any, Final

import numpy as np
import pyvrp
from pyvrp.search import NeighbourhoodParams, PerturbationParams

from register.planning.problem import Problem, Progress, Routes, Way, allowed

NAME: Final = f"PyVRP {version('pyvrp')}"
_EVERY: Final = 50
"""So many iterations pass between two reports of progress."""

_PARAMS: Final = pyvrp.SolveParams(
    neighbourhood=NeighbourhoodParams(num_neighbours=80), perturbation=PerturbationParams(1, 10)
)
"""More neighbours, since each way of a stop is one, and smaller shakes: on weeks of 100 sites with 3 vans as good plans
as by PyVRP's own settings, in two thirds of the time.
"""


class _After:
    """Stops after so many iterations, for the same plan on every computer, and tells how far it is."""

    def __init__(self, iterations: int, progress: Progress | None) -> None:
        self.iterations, self.progress, self.done = iterations, progress, 0

    def __call__(self, best_cost: int) -> bool:  # noqa: ARG002 - PyVRP hands it over
        if self.progress is not None and self.done % _EVERY == 0:
            self.progress(min(self.done, self.iterations), self.iterations)
        self.done += 1
        return self.done > self.iterations


def improve(problem: Problem, start: Routes, *, iterations: int, seed: int, progress: Progress | None) -> Routes:
    """Return the best plan found from a start on; the start itself where none was found that keeps all hours."""
    model = _Model(problem)
    result = pyvrp.solve(
        model.data, _After(iterations, progress), seed=seed, collect_stats=False,
        initial_solution=model.solution(start), params=_PARAMS,
    )  # fmt: skip
    return model.routes(result.best) if result.best.is_feasible() else start


class _Model:
    """A problem in the solver's terms: a client for each way, one group for each stop, a vehicle for each shift."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        ways = [(number, place) for number, stop in enumerate(problem.stops) for place in range(len(stop.ways))]
        self.clients = [
            (number, place) for number, place in ways
            if any(allowed(problem.stops[number], problem.stops[number].ways[place], shift) for shift in problem.shifts)
        ]  # fmt: skip
        self.vans = sorted({way.van for stop in problem.stops for way in stop.ways if way.van is not None})
        self.crews = sorted({stop.crew for stop in problem.stops if stop.crew > 1})
        drives: Any = np.array(problem.travel.minutes, dtype=np.int64)
        self.data = pyvrp.ProblemData(
            [pyvrp.Location(0, 0) for _ in problem.travel.minutes], self._clients(), *self._shifts(),
            [drives], [drives],
            self._groups(),
        )  # fmt: skip

    def solution(self, routes: Routes) -> pyvrp.Solution:
        """Return a plan in the solver's terms."""
        numbers = {served: number for number, served in enumerate(self.clients)}
        made = [
            pyvrp.Route(self.data, [numbers[served] for served in route], kind)
            for kind, route in enumerate(routes) if route
        ]  # fmt: skip
        return pyvrp.Solution(self.data, made)

    def routes(self, solution: pyvrp.Solution) -> Routes:
        """Return the solver's plan in the order of the shifts."""
        found: dict[int, tuple[tuple[int, int], ...]] = {}
        for route in solution.routes():
            visited = [activity.idx for activity in route if activity.is_client()]
            found[route.vehicle_type()] = tuple(self.clients[client] for client in visited)
        return tuple(found.get(kind, ()) for kind in range(len(self.problem.shifts)))

    def _groups(self) -> list[pyvrp.ClientGroup]:
        members: dict[int, list[int]] = {}
        for client, (number, _) in enumerate(self.clients):
            members.setdefault(number, []).append(client)
        return [pyvrp.ClientGroup(clients, required=False) for clients in members.values()]

    def _clients(self) -> list[pyvrp.Client]:
        order = {number: place for place, number in enumerate(dict.fromkeys(number for number, _ in self.clients))}
        made = []
        for number, place in self.clients:
            stop = self.problem.stops[number]
            way = stop.ways[place]
            # A load that no other van has room for keeps a stop to its van, and to enough people.
            loads = [*(int(stop.crew == crew) for crew in self.crews), *(int(way.van == van) for van in self.vans)]
            made.append(
                pyvrp.Client(
                    stop.place, delivery=loads, service_duration=way.minutes, tw_early=way.opens,
                    tw_late=way.closes - way.minutes, prize=way.worth + self._paid_back(way), required=False,
                    group=order[number],
                )
            )  # fmt: skip
        return made

    def _paid_back(self, way: Way) -> int:
        """Return what a stop's own minutes cost where a day's length does: only drives and waits are to count."""
        return way.minutes if self.problem.waits_cost else 0

    def _shifts(self) -> tuple[list[pyvrp.Depot], list[pyvrp.VehicleType]]:
        shifts = self.problem.shifts
        places = sorted({place for shift in shifts for place in (shift.start_place, shift.end_place)})
        depots = {place: number for number, place in enumerate(places)}
        many = 10**6
        types = [
            pyvrp.VehicleType(
                1,
                capacity=[
                    *(many if shift.crew >= crew else 0 for crew in self.crews),
                    *(many if shift.van == van else 0 for van in self.vans),
                ],
                start_depot=depots[shift.start_place], end_depot=depots[shift.end_place],
                tw_early=shift.start, tw_late=shift.end, unit_distance_cost=0 if self.problem.waits_cost else 1,
                unit_duration_cost=1 if self.problem.waits_cost else 0,
            ) for shift in shifts
        ]  # fmt: skip
        return [pyvrp.Depot(place) for place in places], types
