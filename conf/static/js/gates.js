// Which safety gates hold in the course of a job: an act may void some, and they are asked for again. The same rule as
// sparkgap/knowledge/gates.py, held together by tests/vectors/gates.json. No DOM.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});

  /* Every state of the unit during an act or after it, as [name, value]. With gas and 12 V both on a thermostat may
     light the burner at any moment. */
  function states(act) {
    const found = [...Object.entries(act.requires), ...Object.entries(act.leaves)];
    const is = (name, value) => found.some((one) => one[0] === name && one[1] === value);
    return is("gas", "on") && is("power", "on") ? [...found, ["burner", "lit"]] : found;
  }

  function voids(gate, act) {
    const named = gate.voided_by;
    const secured = (name, value) => gate.holds[name] === undefined || gate.holds[name] === value;
    if (states(act).some(([name, value]) => !secured(name, value) || named.states[name] === value)) return true;
    return named.opens.some((access) => act.chain.includes(access));
  }

  function surrounds(outer, access, accesses) {
    for (let at = access; at; at = accesses[at] ? accesses[at].inside : "") if (outer.includes(at)) return true;
    return false;
  }

  /* The gates of an act; those that only connecting an instrument asks for fall away where it is connected already. */
  function needed(act, open) {
    const spared = Object.keys(act.connecting).filter((access) => open.has(access)).flatMap((access) => act.connecting[access]);
    return act.gates.filter((gate) => !spared.includes(gate));
  }

  /* The gates that hold and the accesses that are open while one act follows another. */
  class Job {
    constructor(gates, accesses) {
      Object.assign(this, { gates, accesses, held: new Set(), open: new Set() });
    }

    lacking(act) {
      return needed(act, this.open).filter((gate) => !this.held.has(gate));
    }

    do(act) {
      for (const access of [...this.open]) if (surrounds(act.closes, access, this.accesses)) this.open.delete(access);
      act.chain.forEach((access) => this.open.add(access));
      for (const id of [...this.held]) if (voids(this.gates[id], act)) this.held.delete(id);
    }
  }

  Sparkgap.gates = { states, voids, needed, Job };
})();
