"""What is wrong with a formula, and where."""

from __future__ import annotations


class FormulaError(ValueError):
    """A formula that cannot be read or computed: message, column (from one; 0 for no text) and fix."""

    def __init__(self, message: str, column: int = 0, fix: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.column = column
        self.fix = fix


class InputError(FormulaError):
    """An input of a calculator that is missing, unknown or out of its bounds."""

    def __init__(self, name: str, message: str, fix: str = "") -> None:
        super().__init__(message, 0, fix)
        self.name = name
