"""The papers at the door tell the truth about names: variables, commands, files, options."""

import ast
import re
from pathlib import Path

import pytest
from django.core.management import get_commands, load_command_class

from shop.keeping import RULE

ROOT = Path(__file__).resolve().parent.parent
PAPERS = ["README.md", "DEVELOPERS.md", "CHANGELOG.md", "SECURITY.md"]
READS_ENVIRONMENT = re.compile(r"""(?:env_\w+|environ(?:\.get)?)[(\[]\s*["'](\w+)["']""")
OURS = {name: app for name, app in get_commands().items() if app in ("jobs", "timing", "shop")}


def paper(name: str) -> str:
    return (ROOT / name).read_text(encoding="utf-8")


def variables_read() -> set[str]:
    """Names of the environment that the program reads, less the one that Django's own entrances set."""
    found = {name for path in (ROOT / "shop").rglob("*.py") for name in READS_ENVIRONMENT.findall(path.read_text())}
    return found - {"DJANGO_SETTINGS_MODULE"}


def test_every_variable_of_the_environment_is_explained_and_no_other():
    explained = set(re.findall(r"^\| `([A-Z_]+)` \|", paper("README.md"), re.MULTILINE))
    assert {"DATABASE_URL", "SHOP_DATA"} <= variables_read()
    assert explained == variables_read()


def test_every_command_is_listed_with_its_options_and_no_other():
    listed = dict(re.findall(r"^\| `(\w+)([^`]*)` \|", paper("README.md").split("## Commands")[1], re.MULTILINE))
    commands = {name: rest for name, rest in listed.items() if not name.isupper()}
    assert commands.keys() == OURS.keys()
    for name, rest in commands.items():
        parser = load_command_class(OURS[name], name).create_parser("manage.py", name)
        options = {one for action in parser._actions for one in action.option_strings}
        assert set(re.findall(r"--[\w-]+", rest)) <= options


@pytest.mark.parametrize("name", PAPERS)
def test_every_file_that_is_named_exists(name):
    paths = re.findall(r"`((?:jobs|timing|shop|tests|templates|static|\.ci)/[\w./]*)`", paper(name))
    links = re.findall(r"\]\(([\w./]+)\)", paper(name))
    assert [path for path in [*paths, *links] if not (ROOT / path).exists()] == []


@pytest.mark.parametrize("name", PAPERS)
def test_papers_name_no_machine(name):
    assert not re.search(r"/home/|/root/|/work/|C:\\Users", paper(name))


READS_FACT = ["timing/posted.py", "shop/bench_questions.py", "shop/bench_context.py"]


def test_the_readme_tells_which_backups_are_kept():
    told = " ".join(paper("README.md").split())
    assert f"Kept are {RULE};" in told


def test_the_form_of_a_fact_is_the_one_that_is_read():
    source = "".join(paper(name) for name in READS_FACT)
    read = set(re.findall(r"""(?:posted, |(?:posted|POST)\.get(?:list)?\()["'](\w+)["']""", source))
    chapter = paper("DEVELOPERS.md").split("## The form of a fact")[1].split("##")[0]
    told = set(re.findall(r"`(\w+)`", chapter))
    docstring = ast.get_docstring(ast.parse(paper("timing/posted.py"))) or ""
    assert {"token", "done_at", "helper", "minutes", "hand"} <= read
    assert read <= told
    assert read <= set(re.findall(r"\w+", docstring))


def test_the_two_commands_of_the_readme_are_the_ones_that_the_checks_run():
    readme = paper("README.md")
    assert ".venv/bin/pip install -r requirements.txt && .venv/bin/python manage.py start --example" in readme
    assert ".venv/bin/pip install -r tests/requirements.txt && .venv/bin/pytest\n" in readme
    assert paper("tests/requirements.txt").startswith("-r ../requirements.txt\n")
    assert ".venv/bin/pytest -q\n" in paper(".ci/run")
