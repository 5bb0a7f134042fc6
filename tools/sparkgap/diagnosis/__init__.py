"""What is wrong and what to do next: belief over faults and a plan in expected minutes.

All functions are pure. They take a compiled symptom (plain data), narrow it to a unit with `specialise`, and
weigh it with the evidence of a job. The browser runs the same steps (belief.js, plan.js); both agree to 1e-9.
"""

from .belief import belief
from .conflict import conflict, two_faults
from .discern import indistinct
from .guide import guide
from .optimum import TooLarge, optimum, policy_cost, procedure_order_cost
from .outlook import outlook
from .plan import plan
from .specialise import specialise

__all__ = [
    "TooLarge",
    "belief",
    "conflict",
    "guide",
    "indistinct",
    "optimum",
    "outlook",
    "plan",
    "policy_cost",
    "procedure_order_cost",
    "specialise",
    "two_faults",
]
