"""The site and the project's papers: what they point to is there, and the written pages are today's."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]
DOCS = ROOT / "resources" / "docs"
LINK = re.compile(r"\]\(([^)#\s]+)\)")


def papers() -> list[Path]:
    return sorted([*DOCS.rglob("*.md"), *ROOT.glob("*.md"), *(ROOT / ".github").rglob("*.md")])


@pytest.mark.parametrize("paper", papers(), ids=lambda path: str(path.relative_to(ROOT)))
def test_every_link_leads_somewhere(paper: Path) -> None:
    for target in LINK.findall(paper.read_text(encoding="utf-8")):
        if not target.startswith(("http://", "https://", "mailto:")):
            assert (paper.parent / target).resolve().exists(), target


def test_every_page_of_the_menu_exists_and_every_page_stands_in_it() -> None:
    menu = set(
        re.findall(r": ([\w/-]+\.md)", (ROOT / "resources" / "mkdocs.yml").read_text(encoding="utf-8"))
    )
    pages = {str(path.relative_to(DOCS)) for path in DOCS.rglob("*.md")}
    assert menu <= pages
    assert {page for page in pages if not page.startswith("decisions/")} <= menu


def test_the_page_on_the_tables_is_their_readme() -> None:
    readme = (ROOT / "resources" / "reference" / "README.md").read_text(encoding="utf-8")
    assert (DOCS / "reference-format.md").read_text(encoding="utf-8") == readme, "run resources.make_docs"


def test_the_version_has_one_place() -> None:
    declared = re.search(
        r'^version = "(.+)"', (ROOT / "pyproject.toml").read_text(encoding="utf-8"), re.MULTILINE
    )
    assert declared is not None
    told = subprocess.run(
        [sys.executable, "-m", "catalog_gui", "--version"],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
    )
    assert told.stdout.startswith("foray-bench ")
    assert declared[1] in told.stdout or "unknown" in told.stdout
    assert f"## {declared[1]}" in (DOCS / "changelog.md").read_text(encoding="utf-8")
