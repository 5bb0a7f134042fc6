"""Expected minutes of the plan beside the optimum, repairs alone and the order of the page, symptom by symptom.

``python -m tests.proof.plan [--symptoms ID …] [--samples N] [--seed S] [--minutes M] [--report FILE]``. All shipped
symptoms of an unknown unit, for someone with every qualification. Answers to the free questions, too many to go
through, are drawn at random, the same for every column; from there each way of working is followed to the end:

- ours: the plan's first act at every step; branches below 1e-3 look one step ahead, those below 1e-4 are
  bounded, and the upper bound counts;
- optimum: the least over all ways of working, under the same safety constraints. It is found by bounded search; where
  the bounds have not met in the time, the lower one is told, and ``gap`` is what lies between them;
- repairs: no further checks, the repairs by chance per minute with the stops (Kadane and Simon);
- page: the checks as the procedures place them (procedures by id), up to the first that does not come out clear.

Minutes are the model's: with part prices, waits and stops, without the free questions, which are the same for all.
Where the optimum is only bounded, the same symptom with fewer faults and checks is solved, too (``reduced``).
"""

from __future__ import annotations

import argparse
import json
import math
import sys
from pathlib import Path
from typing import Any

from sparkgap.diagnosis.compile import compile_symptom
from sparkgap.diagnosis.specialise import specialise
from sparkgap.knowledge import Knowledge, load

from tests.js import Engine, engine

HERE = Path(__file__).parent
CHECKOUT = HERE.parents[1]
WHO = ["owner", "technician", "gas-qualified", "electrical-qualified"]
WITHIN = 0.005  # bounds closer than this fraction of the upper one have met; twice that on reduced models
SAMPLE = "(...arguments) => Sparkgap.proof.sample(...arguments)"


def scripts() -> Engine:
    """The browser's engine with the search."""
    return engine("belief.js", "plan.js", str(HERE / "solver.js"), str(HERE / "walk.js"))


def page_order(knowledge: Knowledge) -> dict[str, int]:
    """The place of every check in the procedures' texts, procedures by id."""
    placed = [one.target if "/" in one.target else f"{name}/{one.target}"
              for name, procedure in sorted(knowledge.procedures.items())
              for one in procedure.placements if one.kind == "check"]
    return {gid: n for n, gid in reversed(list(enumerate(placed)))}


def measure(js: Engine, knowledge: Knowledge, symptom: str, samples: int, seed: int, seconds: float) -> dict[str, Any]:
    """All samples of one symptom, each with so many seconds for its optimum, and what they come to."""
    sm = specialise(compile_symptom(knowledge, symptom), {})
    rows = [js.call(SAMPLE, sm, WHO, page_order(knowledge),
                    {"seed": seed * 1000 + n, "seconds": seconds, "within": WITHIN}) for n in range(samples)]
    return {"symptom": symptom, "faults": len(sm["faults"]), "checks": len(sm["checks"]), **summary(rows), "rows": rows}


def summary(rows: list[dict[str, Any]]) -> dict[str, Any]:
    """Means over the samples, and ratios to the optimum (its lower bound) with their standard errors."""
    lower = [row["optimum"][0] for row in rows]
    columns = {"ours": [row["plan"][1] for row in rows], "repairs": [row["repairs"] for row in rows],
               "page": [row["page"] for row in rows]}
    reduced = [row["reduced"] for row in rows if row["reduced"]]
    return {
        "asked": mean([row["asked"] for row in rows]),
        "optimum": [mean(lower), mean([row["optimum"][1] for row in rows])],
        "exact": all(met(row["optimum"]) for row in rows),
        "exact_samples": sum(met(row["optimum"]) for row in rows),
        **{name: mean(values) for name, values in columns.items()},
        "ratio": {name: paired(values, lower) for name, values in columns.items()},
        "reduced": _reduced(reduced) if reduced else None,
    }


def _reduced(rows: list[dict[str, Any]]) -> dict[str, Any]:
    return {"faults": [row["faults"] for row in rows], "checks": [row["checks"] for row in rows],
            "exact": all(met(row["optimum"], 2 * WITHIN) for row in rows),
            "ratio": paired([row["plan"][1] for row in rows], [row["optimum"][0] for row in rows])}


def met(bounds: list[float], within: float = WITHIN) -> bool:
    """Whether a lower and an upper bound have met."""
    return bounds[1] - bounds[0] <= within * bounds[1] + 1e-9


def mean(values: list[float]) -> float:
    """The mean."""
    return math.fsum(values) / len(values)


def paired(values: list[float], base: list[float]) -> list[float | None]:
    """The ratio of two means over the same samples, and its standard error (None for a single sample)."""
    ratio = mean(values) / mean(base)
    count = len(values)
    if count < 2:
        return [ratio, None]
    squares = math.fsum((one - ratio * other) ** 2 for one, other in zip(values, base, strict=True))
    return [ratio, math.sqrt(squares / (count * (count - 1))) / mean(base)]


def table(results: list[dict[str, Any]]) -> str:
    """The results as a Markdown table."""
    heads = ["symptom", "faults", "checks", "optimum", "kind", "ours", "ours/optimum", "repairs", "page",
             "reduced: ours/optimum"]
    rows = [heads, ["---"] * len(heads)]
    for one in results:
        rows.append([one["symptom"], str(one["faults"]), str(one["checks"]), f"{one['optimum'][0]:.1f}", _kind(one),
                     f"{one['ours']:.1f}", *(_ratio(one["ratio"][name]) for name in ("ours", "repairs", "page")),
                     _small(one["reduced"])])
    return "\n".join(f"| {' | '.join(row)} |" for row in rows)


def _kind(one: dict[str, Any]) -> str:
    low, high = one["optimum"]
    if one["exact"]:
        return "exact"
    return f"bound, {one['exact_samples']} of {len(one['rows'])} exact, gap {100 * (high / low - 1):.0f} %"


def _ratio(pair: list[float | None]) -> str:
    return f"{pair[0]:.3f}" if pair[1] is None else f"{pair[0]:.3f} ± {pair[1]:.3f}"


def _small(reduced: dict[str, Any] | None) -> str:
    if reduced is None:
        return ""
    pairs = sorted(set(zip(reduced["faults"], reduced["checks"], strict=True)), reverse=True)
    sizes = ", ".join(f"{faults}×{checks}" for faults, checks in pairs)
    return f"{_ratio(reduced['ratio'])} ({'exact' if reduced['exact'] else 'bound'}, {sizes})"


def parse(argv: list[str]) -> argparse.Namespace:
    """The arguments."""
    parser = argparse.ArgumentParser(prog="python -m tests.proof.plan", description=__doc__.split("\n")[0])
    parser.add_argument("--symptoms", nargs="+", metavar="ID", help="only these symptoms")
    parser.add_argument("--samples", type=int, default=3, metavar="N", help="answers to the free questions (default 3)")
    parser.add_argument("--seed", type=int, default=1, metavar="S", help="which answers are drawn (default 1)")
    parser.add_argument("--minutes", type=float, default=20, metavar="M", help="time for all searches (default 20)")
    parser.add_argument("--report", type=Path, metavar="FILE", help="write it there: all as .json, else the table")
    return parser.parse_args(argv)


def main(argv: list[str]) -> int:
    """Measure, print, write the report."""
    options = parse(argv)
    knowledge = load(CHECKOUT)
    symptoms = options.symptoms or sorted(knowledge.symptoms)
    unknown = [name for name in symptoms if name not in knowledge.symptoms]
    if unknown or options.samples < 1:
        print(f"no such symptom: {', '.join(unknown)}" if unknown else "at least one sample is needed", file=sys.stderr)
        return 2
    # The reduced models take up to as long again as the full one.
    seconds = 60.0 * options.minutes / (2 * len(symptoms) * options.samples)
    results = []
    for symptom in symptoms:
        results.append(measure(scripts(), knowledge, symptom, options.samples, options.seed, seconds))
        print(table(results[-1:]).splitlines()[-1], file=sys.stderr, flush=True)
        if options.report:
            as_json = options.report.suffix == ".json"
            text = json.dumps(results, indent=1) if as_json else table(results)
            options.report.write_text(text + "\n", encoding="utf-8")
    print(table(results))
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
