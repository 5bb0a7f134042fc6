"""From text to a syntax tree of which every node is on the white list. Nothing is ever run."""

from __future__ import annotations

import ast
import re
import warnings

from .errors import FormulaError

LONGEST = 1000  # characters
DEEPEST = 60  # nodes from the root to a leaf
MOST = 400  # nodes
_STRANGE = re.compile(r"[^A-Za-z0-9_+\-*/()<>=!,. \"'%]")
_ALLOWED: tuple[type[ast.AST], ...] = (
    *(ast.Expression, ast.Constant, ast.Name, ast.Load, ast.Call, ast.IfExp),
    *(ast.BinOp, ast.Add, ast.Sub, ast.Mult, ast.Div, ast.Pow),
    *(ast.UnaryOp, ast.UAdd, ast.USub, ast.Not, ast.BoolOp, ast.And, ast.Or),
    *(ast.Compare, ast.Lt, ast.LtE, ast.Gt, ast.GtE, ast.Eq, ast.NotEq),
)
_REFUSED: dict[type[ast.AST], str] = {
    ast.Attribute: "a name with a point in it",
    ast.Mod: "a remainder",
    ast.FloorDiv: "a whole-number division",
    ast.Tuple: "a list of values",
    ast.keyword: "a named argument",
    ast.Starred: "a starred argument",
}


def syntax_tree(text: str) -> ast.expr:
    """The tree of an expression; columns in it count from one in the text as given. Raises FormulaError."""
    if not isinstance(text, str):
        raise FormulaError(f"{text!r} is not a formula", 0, "write the formula in quotes")
    if not text.strip():
        raise FormulaError("the formula is empty", 1, "write an expression")
    if len(text) > LONGEST:
        raise FormulaError(f"the formula is longer than {LONGEST} characters", 1, "split it into steps")
    line = re.sub(r"\s", " ", text)
    _refuse_strange(line)
    tree = _parsed(line)
    _check_nodes(tree)
    return tree


def _refuse_strange(line: str) -> None:
    strange = _STRANGE.search(line)
    if strange:
        fix = "use names, numbers, + - * / ** ( ) and functions"
        fix = "write a power as **" if strange[0] == "^" else fix
        message = f"{strange[0]!r} is not part of the language"
        raise FormulaError(message, strange.start() + 1, fix)
    depth = 0
    for column, character in enumerate(line, 1):
        depth += (character == "(") - (character == ")")
        if depth > DEEPEST:
            raise FormulaError("the brackets are nested too deep", column, "split the formula into steps")


def _parsed(line: str) -> ast.expr:
    start = len(line) - len(line.lstrip())
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            tree = ast.parse(line.strip(), mode="eval").body
    except SyntaxError as error:
        column = max(1, min(len(line), (error.offset or 1) + start))
        raise FormulaError("the formula does not parse here", column, _advice(line)) from None
    except (ValueError, MemoryError, RecursionError):
        raise FormulaError("the formula is too involved", 1, "split it into steps") from None
    todo: list[ast.AST] = [tree]
    while todo:  # no recursion: the depth is not yet known
        node = todo.pop()
        if hasattr(node, "col_offset"):
            node.col_offset += start + 1
        todo.extend(ast.iter_child_nodes(node))
    return tree


def _advice(line: str) -> str:
    if re.search(r"\d\s*[A-Za-z]", re.sub(r"\"[^\"]*\"|'[^']*'", "", line)):
        return 'write a number with a unit as q("8.33 lb/gal")'
    if re.search(r"[^=<>!]=[^=]", line):
        return "write == to compare"
    return "look for a missing operator, bracket or quotation mark"


def _check_nodes(tree: ast.expr) -> None:
    todo: list[tuple[ast.AST, int, int]] = [(tree, 1, tree.col_offset)]
    count = 0
    while todo:
        node, depth, column = todo.pop()
        column = getattr(node, "col_offset", column)
        count += 1
        if not isinstance(node, _ALLOWED):
            what = _REFUSED.get(type(node), "this kind of expression")
            raise FormulaError(f"{what} is not part of the language", column, "see the list of what is")
        if count > MOST or depth > DEEPEST:
            raise FormulaError("the formula is too involved", column, "split it into steps")
        todo.extend((child, depth + 1, column) for child in ast.iter_child_nodes(node))
