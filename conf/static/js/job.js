// An unfinished job of one symptom: what was found, done and passed, in order, kept on the device.
// The evidence for the engine and the gates that hold are worked out anew from the list, so undo is taking a line away.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { store, gates } = Sparkgap;
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

  function apply(entry, evidence, site, proofGates, view) {
    if (["answer", "done", "failed"].includes(entry.kind)) proofGates.clear();
    if (entry.kind === "answer" && view.checks[entry.id]) {
      evidence.results[entry.id] = { v: entry.v, hearsay: Boolean(entry.hearsay) };
      evidence.aside = evidence.aside.filter((id) => id !== entry.id);
      if (!entry.hearsay) site.do(view.checks[entry.id]);
    } else if (entry.kind === "aside") {
      evidence.aside.push(entry.id);
    } else if (entry.kind === "replaced") {
      evidence.replaced.push({ part: entry.part, when: entry.when });
    } else if ((entry.kind === "failed" || entry.kind === "done") && view.remedies[entry.id]) {
      const remedy = view.remedies[entry.id];
      site.do(remedy);
      if (view.checks[remedy.proof]) site.do(view.checks[remedy.proof]);
      if (entry.kind === "failed") evidence.failed.push(entry.id);
    } else if (entry.kind === "gate" && view.gates[entry.id]) {
      site.held.add(entry.id);
    } else if (entry.kind === "proof-gate" && view.gates[entry.id]) {
      if (!proofGates.has(entry.remedy)) proofGates.set(entry.remedy, new Set());
      proofGates.get(entry.remedy).add(entry.id);
    }
  }

  /* {evidence, site (the gates that hold, what is open), proofGates (remedy -> those passed after it, for its proof), done
     (the remedy proved, or null)} of a job. */
  function fold(job, model, view) {
    const site = new gates.Job(view.gates, model.access);
    const proofGates = new Map();
    const evidence = { results: {}, aside: [], replaced: [], failed: [], open: [], who: who() };
    let done = null;
    for (const entry of job.log) {
      apply(entry, evidence, site, proofGates, view);
      if (entry.kind === "done" && view.remedies[entry.id]) done = entry.id;
    }
    evidence.open = [...site.open];
    return { evidence, site, proofGates, done };
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
