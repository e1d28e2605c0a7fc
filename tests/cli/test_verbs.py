"""The list of verbs: complete, in the week's order, and free of anything heavy."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

import previs.cli
from previs.cli.verbs import VERBS, WEEK, _verbs_of

MODULES = sorted(path.stem for path in Path(previs.cli.__file__).parent.glob("*.py") if "\ndef add_to(" in path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("module", MODULES)
def test_every_verb_of_a_module_is_in_the_list_and_the_list_has_no_other(module: str) -> None:
    commands = _verbs_of(module)
    assert set(commands) == {name for name, verb in VERBS.items() if verb.module == module}
    assert all(command.epilog.startswith("Example: previs ") for command in commands.values())


def test_the_list_fits_a_terminal_of_80_columns_and_no_verb_stands_twice() -> None:
    assert len(VERBS) == sum(map(len, WEEK.values()))
    assert all(len(verb.line) <= 58 for verb in VERBS.values())


def test_help_imports_nothing_heavy() -> None:
    asked = "import sys; sys.argv = ['previs', '--help']\nfrom previs.cli.app import main\ntry: main()\nfinally: print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True).stdout
    assert "Find tapes again that moved" in loaded
    heavy = {"numpy", "pandas", "scipy", "av", "cv2", "matplotlib", "openpyxl", "PyQt6", "msgspec", "previs.document.model"}
    assert not heavy & set(loaded.split())
