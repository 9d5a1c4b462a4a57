"""Which copies are kept as time goes by, and which files of a folder are copies at all."""

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from register.errors import Unavailable
from register.store.kept_copies import BEFORE_UPGRADE, KeptCopy, copies_in, copy_name, to_let_go

START = datetime(2026, 1, 5, 7, 30, tzinfo=UTC)


def copy(at: datetime, before: str = "") -> KeptCopy:
    return KeptCopy(Path(f"{copy_name('own', at, before)}.register"), at, before)


def after(days: int, a_day: tuple[int, ...] = (0, 4, 9)) -> tuple[list[KeptCopy], datetime]:
    """Return what is kept after so many days of use, with copies at some hours of each, thinned at every copy."""
    kept: list[KeptCopy] = []
    now = START
    for day in range(days):
        for hour in a_day:
            now = START + timedelta(days=day, hours=hour)
            kept.append(copy(now))
            gone = to_let_go(kept, now)
            kept = [each for each in kept if each not in gone]
            assert kept
            assert kept[-1].at == now
    return kept, now


def test_after_400_days_two_whole_days_fourteen_days_ten_weeks_and_the_months_before_are_kept() -> None:
    kept, now = after(400)
    recent = [each for each in kept if each.at > now - timedelta(days=2)]
    assert len(recent) == 6
    older = [each for each in kept if each not in recent]
    days, rest = older[-14:], older[:-14]
    assert [(first.at.date() - second.at.date()).days for first, second in zip(days[1:], days, strict=False)] == [
        1
    ] * 13
    assert all(each.at.hour == (START + timedelta(hours=9)).hour for each in days)
    weeks, months = rest[-10:], rest[:-10]
    numbers = [each.at.isocalendar()[:2] for each in weeks]
    assert len(set(numbers)) == 10
    assert len({(each.at.year, each.at.month) for each in months}) == len(months)
    span = (weeks[0].at.year - START.year) * 12 + weeks[0].at.month - START.month
    assert span <= len(months) <= span + 1


def test_after_three_years_there_are_twelve_months_and_no_more() -> None:
    kept, now = after(1_100, a_day=(3,))
    assert len(kept) == 2 + 14 + 10 + 12
    assert kept[0].at < now - timedelta(days=365)


def test_copies_before_an_upgrade_stay_for_a_year_beside_the_others() -> None:
    guard = copy(START, BEFORE_UPGRADE)
    others = [copy(START + timedelta(days=day)) for day in range(300)]
    assert guard not in to_let_go([guard, *others], START + timedelta(days=300))
    assert guard in to_let_go([guard, *others], START + timedelta(days=366))


@given(st.lists(st.integers(0, 60 * 24 * 500), min_size=1, max_size=60, unique=True))
def test_the_newest_is_never_let_go_and_thinning_again_lets_nothing_more_go(minutes: list[int]) -> None:
    copies = [copy(START + timedelta(minutes=each)) for each in minutes]
    now = max(each.at for each in copies)
    gone = to_let_go(copies, now)
    kept = [each for each in copies if each not in gone]
    assert max(copies, key=lambda each: each.at) in kept
    assert to_let_go(kept, now) == []


def test_only_files_named_as_copies_of_this_register_are_found(tmp_path: Path) -> None:
    ours = [
        "own-2026-11-20-180509Z.register", "own-2026-11-20-180509Z-2.register",
        "own-2026-11-21-180509Z-before-merge.register",
    ]  # fmt: skip
    others = [
        "own.register", "own-2026-11-20-180509Z.register.tmp", "own-2026-13-20-180509Z.register", "own-notes.txt",
        "yard-2026-11-20-180509Z.register", "own-2026-11-20-180509Z-late.register",
    ]  # fmt: skip
    for name in [*ours, *others]:
        (tmp_path / name).touch()
    found = copies_in(tmp_path, "own")
    assert [each.path.name for each in found] == [ours[2], ours[1], ours[0]]
    assert found[0].before == "before-merge"
    assert found[0].at == datetime(2026, 11, 21, 18, 5, 9, tzinfo=UTC)


def test_a_folder_that_is_not_there_has_no_copies_and_one_that_cant_be_read_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert copies_in(tmp_path / "gone", "own") == []

    def torn(_folder: Path) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(Path, "iterdir", torn)
    with pytest.raises(Unavailable, match="can't be read"):
        copies_in(tmp_path, "own")
