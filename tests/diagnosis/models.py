"""Small compiled symptoms for the tests: hand-made ones by keyword, random ones by seed."""

from __future__ import annotations

import random

CONSTANTS = {
    "hearsay_reliability": 0.8,
    "replaced_persisted": 0.1,
    "replaced_before": 3.0,
    "conflict_ratio": 3.0,
    "two_faults": 0.1,
    "conformity": 0.95,
    "call_minutes": 120.0,
    "back_minutes": 240.0,
    "shop_rate": 150.0,
    "look_ahead": 2,
    "look_ahead_limit": 2e6,
}


def model(*, faults, checks=(), remedies=(), normal=0.05, other=0.05, access=None, **constants):
    """A compiled symptom; ``faults`` is id → weight."""
    return {
        "symptom": "does-not-heat",
        "title": "Does not heat",
        "constants": {**CONSTANTS, **constants},
        "weights": {"normal": normal, "other": other},
        "faults": [
            {"id": name, "title": name, "weight": weight, "when": [], "from": None}
            for name, weight in sorted(faults.items())
        ],
        "checks": sorted(checks, key=lambda c: c["id"]),
        "remedies": sorted(remedies, key=lambda r: r["id"]),
        "access": access or {},
    }


def check(name, rows, answers=("bad", "ok"), **keys):
    """A check; ``rows`` is hypothesis → probabilities in the order of the answers."""
    tier = keys.get("tier", 1)
    minutes = keys.get("minutes", 5.0)
    free = tier == 0 and isinstance(minutes, float) and minutes <= 3.0
    data = {
        "id": name,
        "ask": name,
        "who": [],
        "tier": tier,
        "minutes": minutes,
        "access": [],
        "closes": [],
        "first": False,
        "free": free,
        "when": [],
        "answers": list(answers),
        "clear": "ok",
        "blocks": [],
        "rows": rows,
        "misses": 0.05,
        "measure": None,
        "requires": {},
        "leaves": {},
        "gates": [],
    }
    return {**data, **keys}


def remedy(name, ends, minutes=10.0, **keys):
    """A remedy that ends faults and is proved for sure, unless ``fails`` and ``misses`` are given."""
    data = {
        "id": name,
        "title": name,
        "ends": list(ends),
        "minutes": minutes,
        "price": None,
        "who": [],
        "access": [],
        "proof": "prove/holds",
        "proof_minutes": 0.0,
        "proof_closes": [],
        "proof_access": [],
        "misses": 0.0,
        "fails": 0.0,
        "tier": 1,
        "when": [],
    }
    return {**data, **keys}


def found(**results):
    """Evidence with plain answers; underscores in the names of checks stand for hyphens."""
    return {"results": {name.replace("_", "-"): {"v": {answer: 1.0}} for name, answer in results.items()}}


ACCESS = {
    "bay": {"open": 2.0, "close": 1.0},
    "cover": {"open": 3.0, "close": 4.0},
    "pan": {"open": 1.0, "close": 2.5, "inside": "cover"},
    "tube": {"open": 8.0, "close": 9.0},
}
CHAINS = [[], [], ["cover"], ["cover", "tube"], ["bay"]]
QUALIFIED = ["technician", "gas-qualified"]


def random_model(seed, faults=None, checks=None, remedies=None, plain=False, **constants):
    """A random compiled symptom. ``plain`` leaves out whatever depends on a data plate or a person."""
    rng = random.Random(seed)
    names = [f"fault-{n:02d}" for n in range(faults or rng.randint(1, 6))]
    checks = rng.randint(0, 5) if checks is None else checks
    remedies = rng.randint(0, 5) if remedies is None else remedies
    return model(
        faults={name: rng.choice([0.5, 1.0, rng.uniform(0.1, 5.0)]) for name in names},
        checks=[_check(rng, n, names, plain) for n in range(checks)],
        remedies=[_remedy(rng, n, names, plain) for n in range(remedies)],
        normal=rng.choice([0.0, 0.05, 0.2]),
        other=rng.choice([0.02, 0.05]),
        access=ACCESS,
        **{
            "call_minutes": rng.choice([120.0, 400.0, 2000.0]),
            "back_minutes": rng.choice([240.0, 900.0]),
            "conflict_ratio": rng.choice([1.05, 1.5, 3.0]),
            "two_faults": rng.choice([0.1, 1.0, 20.0]),
            **constants,
        },
    )


def _row(rng, size):
    values = [rng.choice([0.02, 0.2, 0.5, 0.8, 0.98, rng.uniform(0.001, 1.0)]) for _ in range(size)]
    total = 0.0
    for value in values:
        total += value
    return [value / total for value in values]


def _when(rng, plain):
    if plain or rng.random() < 0.7:
        return []
    if rng.random() < 0.5:
        return [{"name": "board", "any": [rng.choice(["standard", "low-sense"])]}]
    return [{"name": "volume", rng.choice(["low", "high"]): rng.choice([0.02, 0.0378541, 0.05])}]


def _minutes(rng, plain):
    if plain or rng.random() < 0.8:
        return rng.choice([1.0, 2.0, 3.0, 5.0, 8.0, 12.5])
    return {"calculator": "heat-up", "output": "time", "plus": 10.0, "typical": 50.0, "needs": ["volume"]}


def _who(rng, plain):
    return [] if plain else rng.choice([[], [], ["technician"], ["gas-qualified", "technician"]])


def _check(rng, number, faults, plain):
    size = rng.choice([2, 2, 3])
    measured = size == 3 and rng.random() < 0.5
    answers = ["above", "below", "within"] if measured else ["bad", "ok", "worse"][:size]
    spoken = rng.sample(faults, rng.randint(1, len(faults)))
    tier, minutes = rng.choice([0, 0, 1, 1, 2, 3]), _minutes(rng, plain)
    limits = [
        {
            "when": _when(rng, plain),
            "low": 1.0,
            "high": 2.0,
            "safety": rng.random() < 0.5,
            "source_kind": "memory",
        }
    ]
    return check(
        f"proc/check-{number:02d}",
        {"*": _row(rng, size), **{fault: _row(rng, size) for fault in sorted(spoken)}},
        answers,
        tier=tier,
        minutes=minutes,
        who=_who(rng, plain),
        access=rng.choice(CHAINS),
        closes=rng.choice([[], [], [], ["cover"]]),
        first=rng.random() < 0.2,
        blocks=["bad"] if not measured and rng.random() < 0.5 else [],
        when=_when(rng, plain),
        clear="within" if measured else "ok",
        measure={"names": ["x"], "limits": limits} if measured else None,
    )


def _remedy(rng, number, faults, plain):
    prices = [
        {
            "when": _when(rng, plain),
            "usd": rng.choice([0.0, 28.0, 95.0]),
            "wait_minutes": rng.choice([0.0, 30.0]),
        }
        for _ in range(rng.randint(1, 2))
    ]
    return remedy(
        f"proc/remedy-{number:02d}",
        sorted(rng.sample(faults, rng.randint(1, min(2, len(faults))))),
        rng.choice([5.0, 10.0, 20.0]),
        price=prices if rng.random() < 0.5 else None,
        who=_who(rng, plain),
        access=rng.choice(CHAINS),
        proof_minutes=_minutes(rng, plain),
        proof_closes=rng.choice([[], ["cover"], ["bay"]]),
        proof_access=rng.choice([[], ["bay"]]),
        misses=rng.choice([0.0, 0.05]),
        fails=rng.choice([0.0, 0.05]),
        tier=rng.choice([1, 2, 3]),
        when=_when(rng, plain),
        part=rng.choice([None, "thermostat", "electrode"]),
    )


def random_evidence(seed, compiled):
    """Random evidence on a model: answers, readings, hearsay, parts, failed remedies, what stands open."""
    rng = random.Random(seed)
    results = {}
    for one in compiled["checks"]:
        if rng.random() < 0.4:
            values = _row(rng, len(one["answers"]))
            if rng.random() < 0.6:
                sure = rng.randrange(len(values))
                values = [1.0 if n == sure else 0.0 for n in range(len(values))]
            weights = dict(zip(one["answers"], values, strict=True))
            results[one["id"]] = {"v": weights, "hearsay": rng.random() < 0.2}
    ids = [act["id"] for act in (*compiled["checks"], *compiled["remedies"])]
    whens = ["for-this", "before", "unknown"]
    parts = ["thermostat", "electrode", *[r["id"] for r in compiled["remedies"]]]
    return {
        "results": results,
        "aside": [name for name in ids if rng.random() < 0.08],
        "replaced": [{"part": rng.choice(parts), "when": rng.choice(whens)} for _ in range(rng.randint(0, 2))],
        "failed": [r["id"] for r in compiled["remedies"] if rng.random() < 0.15],
        "open": [name for name in ACCESS if rng.random() < 0.25],
        "who": rng.choice([[], ["owner"], QUALIFIED, QUALIFIED, QUALIFIED]),
    }


def random_plate(seed):
    """A random data plate, some values unknown."""
    rng = random.Random(seed)
    plate = {}
    if rng.random() < 0.6:
        plate["board"] = rng.choice(["standard", "low-sense"])
    if rng.random() < 0.6:
        plate["volume"] = rng.choice([0.0227, 0.0378541, 0.06])
    return plate


def heat_up(plate):
    """Stands for a calculator: seconds to heat a tank, None without its volume."""
    return {"time": plate["volume"] * 75000.0} if "volume" in plate else None


HEAT_UP_JS = '(plate) => "volume" in plate ? {time: plate.volume * 75000.0} : null'
