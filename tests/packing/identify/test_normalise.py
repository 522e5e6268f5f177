"""Promises of normalise: only spacing, punctuation, case and script change; the raw text is kept."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from packing.identify.normalise import normalise


@pytest.mark.parametrize(
    ("read", "compact"),
    [
        ("kv 4081-b", "KV4081B"),
        ("KV.4081/B", "KV4081B"),
        ("KV–4081—B", "KV4081B"),
        ("KV−4081\u00a0B", "KV4081B"),
        ("KV4081B", "KV4081B"),
        ("KV٤٠٨١B", "KV4081B"),
        ("KV\u200b4081\u00adB", "KV4081B"),
        ("KV40?1B", "KV40?1B"),
        ("É5", "E5"),
    ],
)
def test_spacing_and_scripts_do_not_matter(read, compact):
    assert normalise(read).compact == compact


def test_letters_are_never_turned_into_digits():
    assert normalise("OIlSBZ 015 8 2").compact == "OILSBZ01582"


def test_other_signs_are_named_not_hidden():
    read = normalise("KV🙂40±81")
    assert (read.compact, read.dropped) == ("KV4081", "🙂±")


@given(text=st.text(max_size=80))
def test_raw_text_is_kept_for_any_input(text):
    read = normalise(text)
    assert read.raw == text
    assert set(read.compact) <= set("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ?")


@given(text=st.text(max_size=80))
def test_compact_form_is_stable(text):
    compact = normalise(text).compact
    assert normalise(compact).compact == compact
