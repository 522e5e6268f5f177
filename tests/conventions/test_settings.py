"""Every setting is explained where people look for it."""

import re

from portal.settings import env
from tests.conventions.sources import ROOT

EXAMPLE_NAME = re.compile(r"^#?\s*([A-Z][A-Z0-9_]+)=", re.MULTILINE)
ROW = re.compile(r"^\| `([A-Z][A-Z0-9_]+)` \| (.+) \| (.+) \|$", re.MULTILINE)


def read_names():
    assert len(env.REGISTRY) > 10
    return set(env.REGISTRY)


def test_the_example_file_names_exactly_the_settings_that_are_read():
    example = (ROOT / ".env.example").read_text("utf-8")
    assert set(EXAMPLE_NAME.findall(example)) == read_names()


def test_the_developers_page_tells_the_default_and_the_meaning_of_every_setting():
    page = (ROOT / "DEVELOPERS.md").read_text("utf-8")
    told = {name: (default.strip("`"), meaning) for name, default, meaning in ROW.findall(page)}
    read = {
        name: (env.REGISTRY[name].default or "(empty)", env.REGISTRY[name].meaning) for name in read_names()
    }
    assert told == read


def test_every_setting_says_what_it_means():
    assert {setting.name for setting in env.REGISTRY.values() if len(setting.meaning) < 10} == set()


def test_only_the_readers_touch_the_environment():
    base = (ROOT / "portal/settings/base.py").read_text("utf-8")
    assert "os.environ" not in base
    assert "getenv" not in base
