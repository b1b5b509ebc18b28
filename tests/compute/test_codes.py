"""Codes against ISO/IEC 7064 as python-stdnum has it, and reading what people and scanners send."""

import string

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_37_2

from inventory.compute import codes
from inventory.compute.codes import ALPHABET, Kind
from tests.make import refused

seeds = st.binary(min_size=1, max_size=32)
kinds = st.sampled_from(list(Kind))
machines = st.sampled_from(ALPHABET)
made = st.builds(
    lambda kind, machine, seed: codes.make(letter=kind.letter, machine=machine, seed=seed),
    kinds,
    machines,
    seeds,
)


def test_check_character_of_the_published_example():
    """G123498654321 has H: the example of a blood donation number in python-stdnum's tests (read)."""
    assert codes.check_character("G123498654321") == "H"


@given(st.text(string.digits + string.ascii_uppercase, max_size=30))
def test_check_character_equals_the_reference(text):
    """The same as python-stdnum's ISO/IEC 7064 MOD 37-2, for any text."""
    assert codes.check_character(text) == mod_37_2.calc_check_digit(text)


@given(made)
def test_made_code_is_standard_and_has_no_confusable_character(code):
    """Eight characters of the alphabet, a check character the reference accepts."""
    assert len(code.text) == 8
    assert set(code.text) <= set(ALPHABET)
    assert mod_37_2.is_valid(code.text)


@given(made, st.integers(0, 7), st.sampled_from(ALPHABET))
def test_code_with_one_wrong_character_is_refused(code, at, other):
    """Every single misreading within the alphabet is caught."""
    wrong = code.text[:at] + other + code.text[at + 1 :]
    if wrong == code.text:
        assert codes.read(wrong) == code
    else:
        with refused("code.check", wrong):
            codes.read(wrong)


@given(made, st.integers(0, 6))
def test_code_with_two_neighbours_swapped_is_refused(code, at):
    """Every swap of unlike neighbours is caught."""
    wrong = code.text[:at] + code.text[at + 1] + code.text[at] + code.text[at + 2 :]
    if wrong != code.text:
        with refused("code.check"):
            codes.read(wrong)


@given(made)
def test_code_reads_however_it_is_written(code):
    """Lower case, spaces, hyphens, an address in any case, and the usual misreadings of 1 and 0."""
    text = code.text
    for written in (
        text.lower(),
        f" {code.shown} ",
        f"{text[:4]} {text[4:]}",
        f"HTTPS://QFB.EXAMPLE/OBJ/{text}",
        f"https://qfb.example/obj/{text.lower()}/",
        f"https://other.example:8000/some/OBJ/{code.shown}?x=1",
        text.replace("1", "I"),
        text.replace("1", "l"),
        text.replace("0", "O"),
    ):
        assert codes.read(written) == code


@pytest.mark.parametrize(
    "garbled",
    ["HTTPSÖ--QFB.EXAMPLE-OBJ-{code}", "httpsñ&&qfb.example&obj&{code}", "HTTPS>//QFB:EXAMPLE_OBJ_{code}"],
)
def test_address_garbled_by_another_keyboard_layout_is_read_by_its_last_eight(garbled):
    """A scanner set to another layout turns : and / into other signs; letters and digits stay."""
    code = codes.make(letter="S", machine="A", seed=b"seed")
    assert codes.read(garbled.format(code=code.text)) == code


@pytest.mark.parametrize(
    ("text", "code", "mention"),
    [
        ("", "code.empty", "no code"),
        ("  -  ", "code.empty", "no code"),
        ("SA8KJ2M", "code.length", "7 characters"),
        ("SA8KJ2MTX", "code.length", "9 characters"),
        ("SA8KJU00", "code.letter_u", "letter U"),
        ("SA8KJ2M?", "code.length", "SA8KJ2M"),
        ("SA8KJ2M$", "code.characters", "$"),
        ("x" * 10_000, "code.length", "10000"),
        ("<script>alert(1)</script>", "code.length", ""),
        ("مرحبا بكم", "code.characters", ""),
    ],
)
def test_text_that_is_no_code_is_refused_and_says_why(text, code, mention):
    """Wrong length, letter U, foreign signs, nothing at all: each has its own sentence."""
    with refused(code, mention):
        codes.read(text)


def test_code_of_no_kind_is_refused():
    """A proper check character, and a first letter that is no kind's."""
    texts = (f"VA0000{last}" for last in ALPHABET)
    text = next(text for text in texts if codes.check_character(text) in ALPHABET)
    with refused("code.kind", "V"):
        codes.read(text + codes.check_character(text))


def test_same_seed_gives_the_same_code_and_another_machine_another():
    """Drawing is repeatable; machines cannot collide, their letters differ."""
    one = codes.make(letter="S", machine="A", seed=b"1")
    assert one == codes.make(letter="S", machine="A", seed=b"1")
    assert one.text[1] != codes.make(letter="S", machine="B", seed=b"1").text[1]


@pytest.mark.parametrize(
    ("letter", "machine", "code"),
    [("X", "A", "code.kind"), ("S", "U", "code.machine"), ("S", "", "code.machine")],
)
def test_make_with_no_kind_or_machine_is_refused(letter, machine, code):
    """A code needs a kind and a machine letter of the alphabet."""
    with refused(code):
        codes.make(letter=letter, machine=machine, seed=b"")


@given(st.integers(0, 2**48 - 1), st.binary(min_size=10, max_size=10), st.integers(1, 1000))
def test_ids_are_uuid_version_7_and_keep_their_moment(milliseconds, random, ordinal):
    """RFC 9562 section 5.7: 48 bits of milliseconds, version 7, variant 10, as the library reads it."""
    token = codes.uuid7(milliseconds=milliseconds, random=random)
    for id in (token, codes.derived(token, ordinal, of="lot")):
        assert id.version == 7
        assert id.variant == "specified in RFC 4122"
        assert id.int >> 80 == milliseconds


def test_derived_ids_are_the_same_for_the_same_act_and_apart_otherwise():
    """Things of one act are the same everywhere; each kind is counted by itself."""
    token = codes.uuid7(milliseconds=1, random=b"0123456789")
    assert codes.derived(token, 1, of="lot") == codes.derived(token, 1, of="lot")
    apart = {codes.derived(token, ordinal, of=of) for ordinal in (1, 2) for of in ("lot", "package")}
    assert len(apart) == 4
