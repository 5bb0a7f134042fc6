"""The expression language: read, dimension-checked, computed in Python and written as JavaScript alike."""

from .calculator import Program, check_calculator, compile_calculator, emit, inputs_from_plate, run
from .errors import FormulaError, InputError
from .expression import Expression, compile_expression

__all__ = [
    "Expression",
    "FormulaError",
    "InputError",
    "Program",
    "check_calculator",
    "compile_calculator",
    "compile_expression",
    "emit",
    "inputs_from_plate",
    "run",
]
