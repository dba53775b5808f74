"""What the house rules measure: files, functions and their lengths."""

import ast
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "src" / "footring"
BELOW_THE_BORDER = ("terms", "rows", "packs", "reference", "marks", "reasoning", "care", "standards")
Function = ast.FunctionDef | ast.AsyncFunctionDef


def sources(*folders: str) -> list[Path]:
    """Python files of the package, or of some of its folders; migrations, which Django writes, aside."""
    found = (path for folder in folders or ("",) for path in (PACKAGE / folder).rglob("*.py"))
    return sorted(path for path in found if path.parent.name != "migrations")


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"), filename=str(path))


def functions() -> Iterator[tuple[Path, Function]]:
    for path in sources():
        yield from ((path, node) for node in ast.walk(tree(path)) if isinstance(node, Function))


def lines_of_code(path: Path, function: Function) -> int:
    """Lines of a body that are neither blank nor comment nor docstring."""
    body = function.body[1:] if ast.get_docstring(function) is not None else function.body
    if not body:
        return 0
    lines = path.read_text(encoding="utf-8").splitlines()[body[0].lineno - 1 : function.end_lineno]
    return sum(1 for line in lines if line.strip() and not line.strip().startswith("#"))


def where(path: Path, node: ast.stmt | ast.expr) -> str:
    return f"{path.relative_to(ROOT)}:{node.lineno}"
