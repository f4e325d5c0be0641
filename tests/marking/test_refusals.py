"""What has two readings that differ in rim, load or speed is refused with both; what is no size says where and why."""

from __future__ import annotations

import pytest

from auditor.marking import Marking, Unreadable, decode


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("LT265/70R17 121/118 E", ("LT265/70R17 121/118E", "LT265/70R17 121/118 LR E")),
        ("LT265/70R17 H", ("LT265/70R17 LR H", "LT265/70R17 H")),
        ("11R22.5 144/142 G", ("11R22.5 144/142G", "11R22.5 144/142 LR G")),
        ("235/60R18 225/65R17", ("235/60R18", "225/65R17")),
        ("225/65R17 102H 99V", ("225/65R17 102H", "225/65R17 99V")),
        ("225/65R175", ("225/65R17.5", "225/65R17")),
        ("225/75R165", ("225/75R16.5", "225/75R16")),
        ("285/45R225", ("285/45R22.5", "285/45R22")),
        ("225/45R17 94/98W", ("225/45R17 94W", "225/45R17 98W")),
        ("225/45R17 98/94 W", ("225/45R17 98W", "225/45R17 94W")),
        ("205/55R16 91/94", ("205/55R16 91", "205/55R16 94")),
        ("205/55R16 91 or 94 V", ("205/55R16 91V", "205/55R16 94V")),
        ("205/55R16 91T oder 91H", ("205/55R16 91T", "205/55R16 91H")),
        ("205/55R16 91V lub W", ("205/55R16 91V", "205/55R16 91W")),
        ("205/55R16 91V или 94V", ("205/55R16 91V", "205/55R16 94V")),
        ("205/55R16 91V或94V", ("205/55R16 91V", "205/55R16 94V")),
        ("LT265/75R16 123/120R or 112T", ("LT265/75R16 123/120R", "LT265/75R16 112T")),
        ("225/75R16C 121/120R 118/116R", ("225/75R16C 121/120R", "225/75R16C 118/116R")),
        ("225/75R16C 121/120R (118/116R)", ("225/75R16C 121/120R", "225/75R16C 118/116R")),
        ("275/40R20 106 W/R", ("275/40R20 106W", "275/40R20 106R")),
    ],
)
def test_ambiguous_texts_are_refused_with_their_readings(text: str, readings: tuple[str, ...]) -> None:
    found = decode(text)
    assert isinstance(found, Unreadable) and found.readings == readings


@pytest.mark.parametrize(
    "text", ["205/55R16 9?H", "205/55R16 ?1 V", "LT245/75R16 1?0/116S", "205/55R16 9\ufffdV", "245/45R18 100?W"]
)
def test_an_index_with_a_digit_that_cannot_be_read_is_refused(text: str) -> None:
    found = decode(text)
    assert isinstance(found, Unreadable) and found.reason.startswith("A digit of the load index in ")


@pytest.mark.parametrize(
    ("text", "canonical"),
    [
        ("385/65R22.5 160K 158L", "385/65R22.5 160K (158L)"),
        ("225/75R16C 121/120R (118/116S)", "225/75R16C 121/120R (118/116S)"),
        ("215/65R16C 109/107T (106T)", "215/65R16C 109/107T (106T)"),
        ("15.5R25 169A2/160B", "15.5R25 169A2/160B"),
        ("500/60-22.5 163A8 151A8", "500/60-22.5 163A8/151A8"),
        ("215/60R17 96/93H", "215/60R17 96/93H"),  # judged by the rule for implausible markings
        ("205/55R16 91V 2 or 4 pieces", "205/55R16 91V"),
        ("205/55R16 91V in 48 or 72h", "205/55R16 91V"),
        ("205/75R17.5 124/122M Ön", "205/75R17.5 124/122M"),  # the word begins with one for "or"
    ],
)
def test_what_is_no_choice_is_read(text: str, canonical: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking) and found.canonical == canonical


@pytest.mark.parametrize(
    ("text", "position", "reason"),
    [
        ("225/65R71 102H", 7, "71 is no rim diameter."),
        ("226/65R17", 0, "No metric size is 226 mm wide."),
        ("P225/66R17", 5, "No size has an aspect ratio of 66."),
        ("  all-season", 2, "No size designation was found; expected one such as 225/65R17 102H."),
        ("", 0, "The text is empty; expected a size such as 225/65R17 102H."),
        ("&nbsp;&nbsp;225/65R99", 19, "99 is no rim diameter."),
    ],
)
def test_unreadable_texts_say_where_and_why(text: str, position: int, reason: str) -> None:
    found = decode(text)
    assert isinstance(found, Unreadable)
    assert (found.position, found.reason, found.readings) == (position, reason, ())


@pytest.mark.parametrize(
    ("text", "other"),
    [
        ("225/65R17 102H *", "*"),
        ("225/65R17 102H MO", "MO"),
        ("225/65R17 102H (VOL)", "VOL"),
        ("225/65R17 102H N0", "N0"),
    ],
)
def test_approval_marks_are_kept_as_they_are(text: str, other: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert (found.other_letters, found.unread, found.nonstandard) == ((other,), (), False)


@pytest.mark.parametrize("text", ["Acme SL 225/65R17 102H", "225/65R17 102H Acme SL", "Acme EL 225/65R17 102H"])
def test_a_model_name_is_no_load_version(text: str) -> None:
    found = decode(text)
    assert isinstance(found, Marking)
    assert found.load_version is None and len(found.unread) == 1


def test_nothing_is_dropped_in_silence() -> None:
    found = decode("Acme 225/65R17 (new) 102H 777 P225 !!")
    assert isinstance(found, Marking)
    assert found.unread == ("Acme", "(new)", "777 P225 !!")
