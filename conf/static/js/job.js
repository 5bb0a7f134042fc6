// An unfinished job of one symptom: what was found, done and passed, in order, kept on the device.
// The evidence for the engine and the gates that hold are worked out anew from the list, so undo is taking a line away.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { store } = Sparkgap;
  const BLANK = { log: [], title: "" };

  function load(symptom) {
    const held = store.get("job." + symptom, BLANK);
    return { ...BLANK, ...held, log: Array.isArray(held.log) ? held.log : [] };
  }

  function save(symptom, job) {
    return store.set("job." + symptom, job);
  }

  function who() {
    return store.get("who", ["technician"]);
  }

  /* A gate that says what must be so is void once an act needs or leaves it otherwise; one that speaks of the air or
     the site is asked again after the unit has been fired. */
  function voided(gate, states, fired) {
    const held = Object.entries(gate.holds);
    if (!held.length) return fired && gate.hazard === "gas";
    return held.some(([name, value]) => states[name] !== undefined && states[name] !== value);
  }

  function inside(access, outer, accesses) {
    for (let at = access; at; at = accesses[at] ? accesses[at].inside : "") if (at === outer) return true;
    return false;
  }

  class Site {
    constructor(model, view) {
      Object.assign(this, { model, view, open: new Set(), gates: new Set(), proofGates: {} });
    }

    close(names) {
      for (const outer of names) {
        for (const access of [...this.open]) if (inside(access, outer, this.model.access)) this.open.delete(access);
      }
    }

    act(act) {
      if (!act) return;
      this.close(act.closes);
      act.chain.forEach((access) => this.open.add(access));
      const states = { ...act.requires, ...act.leaves };
      const fired = states.burner === "lit" || (act.requires.gas === "on" && act.requires.power === "on");
      for (const id of [...this.gates]) if (voided(this.view.gates[id], states, fired)) this.gates.delete(id);
    }
  }

  function apply(entry, evidence, site, view) {
    if (["answer", "done", "failed"].includes(entry.kind)) site.proofGates = {};
    if (entry.kind === "answer" && view.checks[entry.id]) {
      evidence.results[entry.id] = { v: entry.v, hearsay: Boolean(entry.hearsay) };
      evidence.aside = evidence.aside.filter((id) => id !== entry.id);
      if (!entry.hearsay) site.act(view.checks[entry.id]);
    } else if (entry.kind === "aside") {
      evidence.aside.push(entry.id);
    } else if (entry.kind === "replaced") {
      evidence.replaced.push({ part: entry.part, when: entry.when });
    } else if ((entry.kind === "failed" || entry.kind === "done") && view.remedies[entry.id]) {
      const remedy = view.remedies[entry.id];
      site.act(remedy);
      site.act(view.checks[remedy.proof]);
      if (entry.kind === "failed") evidence.failed.push(entry.id);
    } else if (entry.kind === "gate" && view.gates[entry.id]) {
      site.gates.add(entry.id);
    } else if (entry.kind === "proof-gate" && view.gates[entry.id]) {
      (site.proofGates[entry.remedy] = site.proofGates[entry.remedy] || new Set()).add(entry.id);
    }
  }

  /* {evidence, gates (a set of those that hold), proofGates (remedy -> those passed after it, for its proof), done (the
     remedy proved, or null)} of a job. */
  function fold(job, model, view) {
    const site = new Site(model, view);
    const evidence = { results: {}, aside: [], replaced: [], failed: [], open: [], who: who() };
    let done = null;
    for (const entry of job.log) {
      apply(entry, evidence, site, view);
      if (entry.kind === "done") done = entry.id;
    }
    evidence.open = [...site.open];
    return { evidence, gates: site.gates, proofGates: site.proofGates, done };
  }

  /* What an entry says: [what, result], or null for a line that is not a finding. */
  function says(entry, view) {
    const check = view.checks[entry.id];
    if (entry.kind === "answer" && check) {
      const answer = check.answers[entry.answer];
      const words = answer ? answer.says : entry.text;
      return [check.ask, (entry.reading ? entry.reading + ": " : "") + words + (entry.hearsay ? " (told, not seen)" : "")];
    }
    if (entry.kind === "aside") return [check ? check.ask : view.remedies[entry.id].title, "Set aside: cannot be done now"];
    if (entry.kind === "replaced") {
      const when = { "for-this": "fitted for this complaint", before: "fitted shortly before it began", unknown: "fitted, nobody knows when" };
      return [view.parts[entry.part] || entry.part, when[entry.when]];
    }
    const remedy = view.remedies[entry.id];
    if (entry.kind === "failed" && remedy) return [remedy.title, "Done, but the proof failed"];
    if (entry.kind === "done" && remedy) return [remedy.title, "Done and proved"];
    return null;
  }

  Sparkgap.job = { load, save, who, fold, says };
})();
