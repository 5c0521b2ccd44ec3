"""The guided form for a machine of one's own: it asks all that a profile needs, and what it writes reads well."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from platelayer.errors import JobError
from platelayer.job import load_profiles
from platelayer.job.machine_file import field_at, form_keys, machine_text, own_profile
from platelayer.job.machine_form import FIELDS, beginnings, open_questions
from platelayer.job.profiles import machine_files, read_profile
from platelayer.values.key_words import ValueKind
from platelayer.values.tooling import Machine, SpindleKind

SHIPPED = load_profiles()
MACHINES = {name: read_profile(SHIPPED[file], file=file).machine for name, file in machine_files(SHIPPED).items()}
ANSWERS = {
    "title": "the router in the cellar",
    "x_travel": "37 3/4 in",
    "y_travel": "600",
    "z_travel": "90 mm",
    "xy_feed": "2500",
    "z_feed": "800 mm/min",
    "xy_rapid": "4000",
    "z_rapid": "1500",
    "xy_acceleration": "380",
    "z_acceleration": "200 mm/s2",
    "spindle": "dial",
    "dial": "1 = 9000, 2: 13000; 3 = 17000",
    "holder_diameter": "20",
    "homes": "yes",
    "arcs": "true",
    "dwell_unit": "s",
}
ANSWERED = beginnings() | ANSWERS


def said_of(machine: Machine) -> dict[str, str]:
    """What a person who has this machine would answer; x and y are alike in all shipped ones."""
    assert len(set(machine.feed_max_mm_min[:2])) == len(set(machine.rapid_mm_min[:2])) == 1
    dialect = machine.dialect
    one_speed = machine.spindle is SpindleKind.SWITCH
    return {
        "title": machine.title,
        **{f"{axis}_travel": f"{machine.travel_mm[n]} mm" for n, axis in enumerate("xyz")},
        **{f"{axes}_feed": f"{machine.feed_max_mm_min[n]}" for n, axes in ((0, "xy"), (2, "z"))},
        **{f"{axes}_rapid": f"{machine.rapid_mm_min[n]}" for n, axes in ((0, "xy"), (2, "z"))},
        **{f"{axes}_acceleration": f"{machine.accel_mm_s2[n]}" for n, axes in ((0, "xy"), (2, "z"))},
        "corner_deviation": f"{machine.corner_deviation_mm} mm" if machine.corner_deviation_mm else "",
        "corner_speed": f"{machine.corner_speed_mm_min} mm/min" if machine.corner_speed_mm_min else "",
        "spindle": machine.spindle.value,
        "dial": ", ".join(f"{mark} = {rpm:g}" for mark, rpm in machine.dial),
        "slowest": f"{machine.spindle_min_rpm:g}",
        "fastest": f"{machine.spindle_max_rpm:g}",
        "only_speed": f"{machine.spindle_max_rpm:g}" if one_speed else "",
        "spin_up": f"{machine.spin_up_s:g}",
        "holder_diameter": f"{machine.holder_diameter_mm} mm",
        "bit_change": machine.bit_change.value,
        "can_zero_in_pause": "yes" if machine.can_zero_in_pause else "no",
        "homes": "yes" if machine.homes else "no",
        "safe_height": f"{machine.safe_z_mm} mm",
        "clear_height": f"{machine.clear_z_mm} mm",
        "arcs": "yes" if dialect.arcs else "no",
        "dwell_unit": dialect.dwell_unit,
        "comments": dialect.comments.value,
        "end_word": dialect.end_word,
    }


@pytest.mark.parametrize("name", MACHINES)
def test_answers_about_a_machine_make_that_machine(name) -> None:
    machine = MACHINES[name]
    made = read_profile(own_profile(said_of(machine), file="mine.toml"), file="mine.toml").machine
    # the form asks nothing of parking, of where a zero lies, and of words that few controllers take
    asked = replace(
        machine,
        id="mine",
        accel_mm_s2=(machine.accel_mm_s2[0], machine.accel_mm_s2[0], machine.accel_mm_s2[2]),
        park=(0.0, 0.0),
        zero_at=None,
        dialect=replace(
            made.dialect,
            arcs=machine.dialect.arcs,
            dwell_unit=machine.dialect.dwell_unit,
            comments=machine.dialect.comments,
            end_word=machine.dialect.end_word,
        ),
    )
    assert made == asked


def test_typed_answers_are_read_as_meant() -> None:
    machine = read_profile(own_profile(ANSWERED, file="mine.toml"), file="mine.toml").machine
    assert machine.travel_mm == (958.85, 600, 90)  # worked by hand: 37.75 in
    assert machine.dial == (("1", 9000), ("2", 13000), ("3", 17000))
    assert (machine.homes, machine.can_zero_in_pause, machine.dialect.arcs) == (True, False, True)
    assert machine.corner_deviation_mm == 0.01


@pytest.mark.parametrize(
    "name",
    sorted({field.name for field in open_questions(beginnings() | {"spindle": "dial"})} - {"homes"} | {"spindle"}),
)
def test_nothing_is_guessed_that_only_the_machine_can_tell(name) -> None:
    with pytest.raises(JobError) as caught:
        own_profile(ANSWERED | {name: ""}, file="mine.toml")
    blamed = {field_at(fault, ANSWERED).name for fault in caught.value.faults}
    assert blamed <= {name, "dial", "fastest"}
    assert name in blamed


def test_a_machine_that_is_not_said_to_find_its_zero_is_taken_as_one_that_does_not() -> None:
    text = own_profile(ANSWERED | {"homes": ""}, file="mine.toml")
    assert not read_profile(text, file="mine.toml").machine.homes


@pytest.mark.parametrize(
    ("name", "wrong"),
    [
        ("x_travel", "a yard"),
        ("xy_feed", "-3"),
        ("spindle", "knob"),
        ("dial", "1 = 9000"),
        ("dial", "1 = fast, 2 = faster"),
        ("spin_up", "60"),
        ("homes", "perhaps"),
        ("clear_height", "0.1 mm"),
        ("safe_height", "1 mm"),
        ("dwell_unit", "minutes"),
    ],
)
def test_a_wrong_answer_is_told_at_its_question(name, wrong) -> None:
    answers = ANSWERED | {name: wrong}
    with pytest.raises(JobError) as caught:
        own_profile(answers, file="mine.toml")
    assert {field_at(fault, answers).name for fault in caught.value.faults} == {name}


def test_what_does_not_arise_is_not_written() -> None:
    text = own_profile(ANSWERED | {"slowest": "1", "fastest": "2", "only_speed": "3"}, file="mine.toml")
    assert "slowest =" not in text
    assert "fastest =" not in text


def test_the_starter_is_refused_until_it_is_filled_in_and_then_reads() -> None:
    text = machine_text(beginnings())
    with pytest.raises(JobError) as caught:
        read_profile(text, file="mine.toml")
    blamed = {field_at(fault, {}).name for fault in caught.value.faults}
    assert blamed == {field.name for field in open_questions(beginnings())} - {"homes"}
    unspoken = ("# speed = ", "# slowest = ", "# fastest = ")  # another way to say it, and other kinds of spindle
    lines = [
        line.removeprefix("# ")
        if " = " in line
        and line.startswith("# ")
        and line.split()[1].isidentifier()
        and line.split()[2] == "="
        and not line.startswith(unspoken)
        else line
        for line in text.split("\n")
    ]
    machine = read_profile("\n".join(lines).replace("rpm = 9000", "rpm = 8000"), file="mine.toml").machine
    assert machine.title == "screw router in the cellar"


def test_every_question_says_how_and_what_if() -> None:
    keys = form_keys()
    for field in FIELDS.values():
        assert field.asks.endswith("?")
        assert field.find_out.endswith(".")
        assert field.if_wrong.endswith(".")
        assert keys[field.name].kind is not ValueKind.CHOICE or field.begins in ("", *keys[field.name].choices)
        if field.only_if is not None:
            assert field.only_if[1] in keys[field.only_if[0]].choices


@given(st.dictionaries(st.sampled_from(list(FIELDS)), st.text(max_size=12), max_size=4))
def test_whatever_is_typed_the_answer_is_a_profile_or_a_sentence(odd) -> None:
    try:
        text = own_profile(ANSWERED | odd, file="mine.toml")
    except JobError as error:
        assert all(field_at(fault, ANSWERED | odd) is not None for fault in error.faults), str(error)
    else:
        read_profile(text, file="mine.toml")
