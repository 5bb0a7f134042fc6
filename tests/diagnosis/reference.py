"""Expected minutes straight from the text of the model: slow, with probabilities that sum to one, and no sharing.

Written apart from the engine and for tiny models only, to check it.
"""

from __future__ import annotations


class Reference:
    """The recursion V(state) over beliefs, open accesses, checks made and remedies tried."""

    def __init__(self, sm, who=()):
        self.sm = sm
        self.who = set(who)
        self.k = sm["constants"]
        self.checks = [c for c in sm["checks"] if set(c["who"]) <= self.who]
        self.remedies = [r for r in sm["remedies"] if set(r["who"]) <= self.who]

    def close(self, opened):
        return sum(self.sm["access"][name]["close"] for name in opened)

    def go(self, opened, closes, chain):
        """Minutes and accesses open after closing some (with what is inside) and opening a chain."""
        access = self.sm["access"]
        shut = {n for n in opened if n in closes or any(self.lies_inside(n, c) for c in closes)}
        left = opened - shut
        cost = self.close(shut) + sum(access[n]["open"] for n in chain if n not in left)
        return cost, left | set(chain)

    def lies_inside(self, inner, outer):
        chains = [a["access"] for a in self.sm["checks"] + self.sm["remedies"]]
        chains += [r["proof_access"] for r in self.sm["remedies"]]
        stated = self.sm["access"][inner].get("inside") == outer
        return stated or any(inner in c and outer in c[: c.index(inner)] for c in chains)

    def value(self, p, opened=frozenset(), made=frozenset(), tried=frozenset(), blocked=frozenset(), unsafe=False):
        stops = [self.k["call_minutes"]]
        if not unsafe:
            stops.append((1 - p["normal"]) * self.k["back_minutes"])
        free = [c for c in self.checks if c["free"] and c["id"] not in made]
        first = [c for c in self.sm["checks"] if c["first"] and (c["id"] not in made or c["id"] in blocked)]
        barred = any(c not in self.checks for c in first)
        due = not blocked and (free or (not barred and any(c["id"] not in made for c in first)))
        best = float("inf") if due else min(stops) + self.close(opened)
        for c in self.checks:
            again = c["id"] in blocked
            if (blocked and not again) or (c["id"] in made and not again):
                continue
            if not again and (free and c["tier"] > 0) or (first and c["tier"] > 0 and not c["first"]):
                continue
            cost, then = self.go(opened, c["closes"], c["access"])
            cost += c["minutes"]
            if again:
                best = min(best, cost + self.value(p, then, made, tried, blocked - {c["id"]}, unsafe))
                continue
            for n, answer in enumerate(c["answers"]):
                joint = {h: p[h] * c["rows"].get(h, c["rows"]["*"])[n] for h in p}
                chance = sum(joint.values())
                after = {h: share / chance for h, share in joint.items()}
                stuck = blocked | {c["id"]} if c["first"] and answer in c["blocks"] else blocked
                bad = unsafe or (c["safety"] and answer != "within")
                cost += chance * self.value(after, then, made | {c["id"]}, tried, stuck, bad)
            best = min(best, cost)
        if free or first:
            return best
        for r in self.remedies:
            if r["id"] not in tried:
                best = min(best, self.repair(r, p, opened, made, tried, blocked, unsafe))
        return best

    def repair(self, r, p, opened, made, tried, blocked, unsafe):
        cost, there = self.go(opened, [], r["access"])
        proving, then = self.go(there, r["proof_closes"], r["proof_access"])
        cost += r["minutes"] + r["usd"] / self.k["shop_rate"] * 60 + r["wait_minutes"]
        cost += proving + r["proof_minutes"]
        q = {h: 0.0 if h == "normal" else r["fails"] if h in r["ends"] else 1.0 for h in p}
        back = {h: 1.0 if h == "normal" else q[h] * r["misses"] for h in p}
        joint = {h: p[h] * q[h] * (1 - r["misses"]) for h in p}
        fail = sum(joint.values())
        cost += sum(p[h] * back[h] for h in p) * self.k["back_minutes"] + (1 - fail) * self.close(then)
        if fail > 0:
            after = {h: share / fail for h, share in joint.items()}
            cost += fail * self.value(after, then, made, tried | {r["id"]}, blocked, unsafe)
        return cost
