"""No text ever becomes a command line or a program: read from the source, call by call."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2] / "previs"
FORBIDDEN = {
    "os.system", "os.popen", "os.startfile", "subprocess.getoutput", "subprocess.getstatusoutput", "eval", "exec", "compile",
    "pickle.load", "pickle.loads",
    "yaml.load", "marshal.loads", "shelve.open",
}  # fmt: skip
STARTING = {"subprocess.run", "subprocess.Popen", "subprocess.call", "subprocess.check_call", "subprocess.check_output"}


def wrong_calls(source: str) -> list[str]:
    found = []
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.Call):
            continue
        name = ast.unparse(node.func)
        given = {keyword.arg: keyword.value for keyword in node.keywords}
        if name in FORBIDDEN:
            found.append(f"line {node.lineno}: {name}")
        if "shell" in given or (name in STARTING and isinstance(node.args[0], ast.Constant | ast.JoinedStr | ast.BinOp)):
            found.append(f"line {node.lineno}: {name} of a text")
        if name in ("np.load", "numpy.load", "pd.read_pickle") and getattr(given.get("allow_pickle"), "value", False):
            found.append(f"line {node.lineno}: {name} of programs")
    return found


@pytest.mark.parametrize("module", sorted(HOUSE.rglob("*.py")), ids=lambda path: str(path.relative_to(HOUSE)))
def test_no_shell(module: Path) -> None:
    assert not wrong_calls(module.read_text("utf-8"))


def test_the_test_sees_what_it_looks_for() -> None:
    for wrong in (
        "subprocess.run(f'x {y}')",
        "run(x, shell=True)",
        "os.system(x)",
        "eval(x)",
        "np.load(x, allow_pickle=True)",
        "subprocess.run('a' + b)",
    ):
        assert wrong_calls(wrong), wrong
    assert not wrong_calls("subprocess.run(['a', b])\nnp.load(x, allow_pickle=False)")
