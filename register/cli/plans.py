"""The commands of the week: plan and forecast."""

from contextlib import suppress
from datetime import date
from pathlib import Path
from typing import Any

from register.cli.context import Context
from register.cli.output import cell, notice, print_json, print_table
from register.domain.intervals import Interval
from register.domain.words import CONTRACTORS_DUTIES, counted
from register.errors import Refused
from register.exchange.files import check_place, write_out
from register.planning.forecast import Totals, Trip, WeekLoad, totals_of
from register.planning.site_week import Task
from register.planning.week_rows import PlannedDay, PlannedStop, PlannedWeek
from register.services.firm import sites
from register.services.week.day_sheets import day_sheets, site_addresses
from register.services.week.forecast import WhatIf
from register.services.week.forecast import forecast as forecast_of
from register.services.week.forecast_text import totals_words
from register.services.week.kept import keep_week, week_visits
from register.services.week.plan import PinTo, WeekAsk, coming_week, plan_week, week_code, week_from
from register.services.week.plan_settings import keep_drives, plan_settings
from register.services.week.text import week_lines
from register.services.week.visiting import clock_words
from register.store.engine import Register


def plan(call: Context) -> None:
    """Plan a week, print it, and where asked for keep it and write its files."""
    options = call.options
    monday = week_from(options.week) if options.week else coming_week(call.today)
    ask = WeekAsk(
        monday, dict(map(_pin, options.pin)), frozenset(options.leave_out), options.vans, seed=options.seed,
        effort=options.effort,
    )  # fmt: skip
    _check_places(call)
    with call.register() as register:
        with register.read() as connection:
            week = plan_week(connection, call.today, ask)
        if options.keep or options.ics:
            with call.change(register) as change:
                kept = keep_week(change, week)
            for said in kept.short:
                notice(said)
            notice(f"Kept: {kept.new} new, {kept.changed} changed, {kept.cancelled} cancelled, {kept.same} as before.")
        _write_files(call, register, week)
    if call.json:
        print_json(plan_json(week))
        return
    print(f"The week {week_code(monday)}:")
    for line in week_lines(week):
        print(f"  {line}")


def _check_places(call: Context) -> None:
    """Refuse files that can't be written before a week is planned and kept for them."""
    from register.exchange.workbook.swap_in import workbook_place

    options = call.options
    for named in (options.ics, options.gpx, options.geojson):
        if named:
            check_place(Path(named))
    if options.xlsx:
        check_place(workbook_place(Path(options.xlsx)))


def _write_files(call: Context, register: Register, week: PlannedWeek) -> None:
    """Write the files that were asked for, and say which stops they lack."""
    from register.exchange.week.calendar import calendar_of
    from register.exchange.week.day_sheet import write_day_sheets
    from register.exchange.week.route_files import geojson_of, gpx_of

    options, monday = call.options, week.draft.asked.monday
    with register.read() as connection:
        if options.ics:
            visits, addresses = week_visits(connection, monday), site_addresses(connection)
            write_out(Path(options.ics), calendar_of(visits, addresses, at=call.now))
        if options.xlsx:
            write_day_sheets(day_sheets(connection, week), Path(options.xlsx))
    for named, made in ((options.gpx, gpx_of), (options.geojson, geojson_of)):
        if named:
            written = made(week)
            write_out(Path(named), written.content)
            if written.left_out:
                notice(f"{named} lacks {', '.join(written.left_out)}: nobody gave their coordinates.")


def _pin(text: str) -> tuple[str, PinTo]:
    """Return a pin that is written as CODE=DATE, or CODE=DATE@VAN."""
    code, _, where = text.partition("=")
    day, _, van = where.partition("@")
    if code.strip():
        with suppress(ValueError):
            return code.strip(), PinTo(date.fromisoformat(day.strip()), van.strip())
    raise Refused(f"“{text}” is no pin. Write the site's code and the day, like BOAT=2026-12-01.")


def plan_json(week: PlannedWeek) -> dict[str, Any]:
    """Return a planned week as JSON: days on which a van goes out, what is left out, and how good the plan is."""
    quality = week.quality
    return {
        "week": week_code(week.draft.asked.monday),
        "days": [_day_json(day) for day in week.days if day.stops],
        "left_out": [
            {"site": each.code, "reason": each.reason, "pressing": each.pressing} for each in week.left_out
        ],
        "totals": {
            "visits": len(week.stops), "drive_km": round(week.drive_km, 1), "drive_minutes": week.drive_minutes,
            "minutes": sum(stop.minutes for stop in week.stops),
            "duties": sum(len(stop.must) for stop in week.stops),
            "pulled_forward": sum(len(stop.early) for stop in week.stops),
        },
        "cost": quality.cost, "lower_bound": quality.lower_bound,
        "gap": None if quality.gap is None else round(quality.gap, 4),
        "quality": quality.words, "solver": quality.solver, "notes": list(week.notes),
    }  # fmt: skip


def _day_json(day: PlannedDay) -> dict[str, Any]:
    return {
        "date": day.day, "van": day.van_name, "leave_base": clock_words(day.leave_base),
        "back_at_base": clock_words(day.back), "stops": [_stop_json(stop) for stop in day.stops],
        "drive_km": round(day.drive_km, 1), "drive_minutes": day.drive_minutes,
    }  # fmt: skip


def _stop_json(stop: PlannedStop) -> dict[str, Any]:
    return {
        "site": stop.code, "arrive": clock_words(stop.arrive), "leave": clock_words(stop.leave),
        "minutes": stop.minutes, "waits": stop.waits, "why": stop.why,
        "duties": [_task_json(task) for task in stop.must],
        "pulled_forward": [{**_task_json(each.task), "why": each.why} for each in stop.early],
        "pinned": stop.pinned, "part": stop.part, "parts": stop.parts,
    }  # fmt: skip


def _task_json(task: Task) -> dict[str, Any]:
    return {"tag": task.tag, "duty": task.duty, "due": task.due, "area": task.area}


def drives(call: Context) -> None:
    """Take in the drives that the user knows, in place of those before, or forget them."""
    from register.exchange.week.distances import read_drives

    options = call.options
    with call.register() as register:
        if options.forget:
            with call.change(register) as change:
                keep_drives(change, {})
            if call.json:
                print_json({"drives": 0})
            else:
                print("No drives are known any more; all are worked out over the globe.")
            return
        if options.file is None:
            raise Refused("Which drives? Name a sheet of them, or say --forget.")
        with register.read() as connection:
            codes, pace = [row.code for row in sites(connection)], plan_settings(connection).pace
        found = read_drives(Path(options.file), codes, pace)
        if not options.dry_run:
            with call.change(register) as change:
                keep_drives(change, found.legs)
    if call.json:
        print_json({
            "drives": len(found.legs), "places": found.places, "holes": found.holes, "first_hole": found.first_hole,
            "problems": [{"line": each.line, "why": each.why} for each in found.wrong], "kept": not options.dry_run,
        })  # fmt: skip
        return
    for said in (*found.lines, *map(str, found.wrong), "Nothing was kept." if options.dry_run else "Kept."):
        print(said)


def forecast(call: Context) -> None:
    """Print the work of the coming weeks against the crew's hours."""
    options = call.options
    if options.new_site_items is not None and not options.new_site_like:
        raise Refused("A new site is like one there is. Name that one with --new-site-like CODE.")
    intervals = dict(map(_interval, options.interval))
    what_if = WhatIf(options.more_vans, intervals, options.new_site_like, options.new_site_items)
    with call.register() as register, register.read() as connection:
        found = forecast_of(connection, call.today, weeks=options.weeks, what_if=what_if)
    if call.json:
        weeks = [_week_json(week) for week in found.weeks]
        print_json({"from": found.weeks[0].monday, "weeks": weeks, "totals": _totals_json(totals_of(found))})
        return
    heads = ("Week", "From", "Trips", "Hours of work", "Crew's hours", "Beyond", "Sites")
    print_table(heads, [_week_line(week) for week in found.weeks if week.level])
    print(f"\n{totals_words(totals_of(found))}")
    if found.coarse:
        print(
            f"At {counted(found.coarse, 'site')} due dates near one another were put together, to the earliest of them."
        )


def _interval(text: str) -> tuple[str, Interval]:
    duty, parted, every = text.partition("=")
    if not parted or duty not in CONTRACTORS_DUTIES:
        known = ", ".join(sorted(CONTRACTORS_DUTIES))
        raise Refused(f"“{text}” is no interval of a duty. Write it like operating-time=P6M; the duties are: {known}.")
    return duty, Interval.parse(every)


def _totals_json(totals: Totals) -> dict[str, Any]:
    return {
        "trips": totals.trips, "minutes": round(totals.minutes), "drive_minutes": round(totals.drive),
        "weeks_beyond": totals.over, "beyond_minutes": round(totals.beyond),
        "fullest": week_code(totals.fullest.monday) if totals.fullest else None,
    }  # fmt: skip


def _week_json(week: WeekLoad) -> dict[str, Any]:
    return {
        "week": week_code(week.monday), "monday": week.monday, "minutes": round(week.minutes),
        "best_minutes": round(week.best_minutes), "trips": len(week.level), "drive_minutes": round(week.drive),
        "crew_minutes": round(week.crew_minutes), "beyond_minutes": round(week.above),
        "sites": [{"site": trip.site, "day": trip.day, "minutes": round(trip.minutes)} for trip in _by_day(week)],
    }  # fmt: skip


def _week_line(week: WeekLoad) -> tuple[object, ...]:
    sites = ", ".join(f"{trip.site} {trip.minutes / 60:.1f} h" for trip in _by_day(week))
    beyond = f"{week.above / 60:.1f}" if week.above else ""
    return (
        week_code(week.monday), cell(week.monday), len(week.level), f"{week.minutes / 60:.1f}",
        f"{week.crew_minutes / 60:.1f}", beyond, sites,
    )  # fmt: skip


def _by_day(week: WeekLoad) -> list[Trip]:
    return sorted(week.level, key=lambda trip: (trip.day, trip.site))
