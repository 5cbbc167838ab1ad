"""Identifiers against RFC 9562."""

from datetime import UTC, datetime
from uuid import RFC_4122, UUID

from hypothesis import given
from hypothesis import strategies as st

from tarewell.records.ids import IdSource


def test_the_time_stands_where_rfc_9562_puts_it() -> None:
    # RFC 9562, 5.7: 48 bits of Unix time in ms. GNU date gives 1645557742 s for it: 0x017f22e279b0 ms.
    identifier = IdSource().next(datetime(2022, 2, 22, 19, 22, 22, tzinfo=UTC))
    assert identifier.startswith("017f22e2-79b0-7")
    assert (UUID(identifier).version, UUID(identifier).variant) == (7, RFC_4122)


@given(st.lists(st.datetimes(datetime(1980, 1, 1), datetime(2200, 1, 1), timezones=st.just(UTC)), min_size=2))
def test_the_order_of_giving_is_the_order_of_texts_whatever_the_clock_does(times: list[datetime]) -> None:
    source = IdSource()
    given_ids = [source.next(at) for at in times]
    given_ids += [IdSource(given_ids[-1]).next(times[0])]
    assert given_ids == sorted(set(given_ids))
    assert all(UUID(identifier).version == 7 for identifier in given_ids)


def test_many_in_one_millisecond_are_all_different_and_in_order() -> None:
    source, at = IdSource(), datetime(2026, 11, 25, tzinfo=UTC)
    given_ids = [source.next(at) for _ in range(5000)]
    assert given_ids == sorted(set(given_ids))
