"""The year of a site: the best of all, by trying everything on small cases; and nothing ever overdue."""

from datetime import date, timedelta
from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from register.domain.intervals import Interval, add_interval
from register.planning.pull_forward import Load, Question, Year, site_year

START = date(2026, 11, 30)
QUARTER, HALF, WHOLE = (Interval.of(months=months) for months in (3, 6, 12))

loads_of_a_site = st.lists(
    st.builds(
        Load,
        st.sampled_from(range(-30, 360, 30)).map(lambda days: START + timedelta(days=days)),
        st.sampled_from([HALF, WHOLE, None]),
        st.sampled_from([5.0, 20.0, 60.0, 144.0]),
    ),
    max_size=3,
)


def given_away(load: Load, day: date) -> float:
    """The minutes that doing duties on a day gives away of the interval they were done for."""
    early = (load.due - day).days
    return load.minutes * early / load.every.length if early > 0 and load.every is not None else 0.0


def doings(load: Load, days: tuple[date, ...], end: date) -> list[tuple[date, float]] | None:
    """When a load is done if each visit leaves to the next what can wait for it; None where it goes overdue."""
    due, last, done = max(load.due, START), date.min, []
    while due <= end:
        in_time = [day for day in days if last < day <= due]
        if not in_time:
            return None
        last = in_time[-1]
        done.append((last, given_away(Load(due, load.every, load.minutes), last)))
        if load.every is None:
            break
        due = add_interval(last, load.every)
    return done


def cheapest(loads: list[Load], trip: float, end: date) -> float:
    """Try every set of visits on the days on which anything could fall due."""
    days = {max(load.due, START) for load in loads}
    for _ in range(2):
        days |= {add_interval(day, load.every) for day in days for load in loads if load.every is not None}
    best = float("inf")
    candidates = sorted(day for day in days if day <= end)
    for count in range(min(6, len(candidates)) + 1):
        for visits in combinations(candidates, count):
            done = [doings(load, visits, end) for load in loads]
            if None not in done:
                lost = sum(given for each in done if each is not None for _, given in each)
                best = min(best, count * trip + lost)
    return best


@settings(max_examples=40, deadline=None)
@given(loads_of_a_site, st.sampled_from([5.0, 20.0, 60.0, 120.0]))
def test_no_choice_of_visits_costs_less(loads: list[Load], trip: float) -> None:
    question = Question(START, trip)
    found = site_year(question, loads, most_steps=None).best()
    assert abs(found.cost - cheapest(loads, trip, START + timedelta(days=364))) < 1e-6


def overdue(year: Year, loads: list[Load]) -> list[Load]:
    days = tuple(visit.day for visit in year.visits)
    return [load for load in loads if doings(load, days, START + timedelta(days=364)) is None]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.builds(
            Load,
            st.integers(-40, 500).map(lambda days: START + timedelta(days=days)),
            st.sampled_from([QUARTER, HALF, WHOLE]),
            st.sampled_from([4.0, 30.0]),
        ),
        max_size=60,
    )
)
def test_nothing_goes_overdue_however_many_dates_are_put_together(loads: list[Load]) -> None:
    assert overdue(site_year(Question(START, 60.0), loads).best(), loads) == []


def test_a_cheap_trip_pulls_nothing_forward_and_a_dear_one_does() -> None:
    loads = [Load(START + timedelta(days=10), WHOLE, 60.0), Load(START + timedelta(days=70), WHOLE, 60.0)]
    lost = 60.0 * 60 / WHOLE.length
    apart = site_year(Question(START, lost - 0.1), loads).best()
    together = site_year(Question(START, lost + 0.1), loads).best()
    assert [visit.day for visit in apart.visits] == [loads[0].due, loads[1].due]
    assert [visit.day for visit in together.visits] == [loads[0].due]
    assert together.visits[0].given_away == lost


def test_what_falls_due_on_a_sunday_is_visited_on_the_working_day_before() -> None:
    sunday = date(2026, 12, 6)

    def friday(due: date) -> date:
        return due - timedelta(days=max(0, due.weekday() - 4))

    year = site_year(Question(START, 60.0, friday), [Load(sunday, HALF, 30.0)]).best()
    assert year.visits[0].day == date(2026, 12, 4)
    assert all(visit.day.weekday() < 5 for visit in year.visits)


def test_an_early_visit_is_worth_the_trip_it_saves_less_what_it_gives_away() -> None:
    due = START + timedelta(days=30)
    early = site_year(Question(START, 60.0), [Load(due, WHOLE, 40.0)]).early(START)
    assert early.next_without == due
    assert early.next_with is None
    assert abs(early.worth - (60.0 - 40.0 * 30 / WHOLE.length)) < 1e-9


def test_a_site_without_anything_due_needs_no_visit() -> None:
    assert site_year(Question(START, 60.0), []).best() == Year((), 0.0)
    assert site_year(Question(START, 60.0), [Load(START + timedelta(days=400), WHOLE, 9.0)]).best().visits == ()
