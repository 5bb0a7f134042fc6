// The job in hand as the guide and the papers see it: what was found, done and passed, in order, in the form of
// schema/job.schema.json. The evidence for the engine and the gates that hold are worked out anew from the log, as
// sparkgap/jobs/replay.py does, so undo is taking a line away. Touches no page; job-store.js keeps.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { store } = Sparkgap;
  const KEYS = { answer: ["id", "answer", "v", "hearsay", "readings", "verdict", "within", "shares"], gate: ["id", "remedy"], aside: ["id"],
    replaced: ["part", "when"], done: ["id", "fitted", "removed"], failed: ["id", "fitted", "removed"], note: ["text"] };
  const TOO_CLOSE = "Too close to call with this tool";
  const WHEN = { "for-this": "fitted for this complaint", before: "fitted shortly before it began", unknown: "fitted, nobody knows when" };

  function who() {
    return store.get("who", ["technician"]);
  }

  /* An entry as the format has it, with the time and the initials of whoever makes it now. */
  function tidy(entry, now, by) {
    const kind = entry.kind === "proof-gate" ? "gate" : entry.kind;
    const made = { kind, at: entry.at || now };
    if (entry.by || (!entry.at && by)) made.by = entry.by || by;
    for (const key of KEYS[kind]) if (entry[key] !== undefined) made[key] = entry[key];
    if (kind === "answer") made.answer = entry.answer || null;
    if (made.hearsay === false) delete made.hearsay;
    return made;
  }

  /* The guide holds on to its entries, so that each stays the same object. */
  function become(entry, made) {
    Object.keys(entry).forEach((key) => delete entry[key]);
    Object.assign(entry, made);
  }

  /* Whether a log of several things was emptied at one stroke; a single finding is undone, not begun again. */
  function emptied(before, now) {
    return !now.length && new Set(before.map((entry) => entry.id || entry.part || entry.text)).size > 1;
  }

  /* What the guide of a symptom works on: a copy of the job in hand, or a job that is not begun. */
  function load(symptom) {
    const record = Sparkgap.jobs.current();
    const shown = card(symptom) || { title: "" };
    if (!record) return { ...shown, log: [], complaint: store.get("complaint", "") };
    return { ...shown, log: structuredClone(record.job.log), complaint: record.job.complaint };
  }

  function write(record, symptom, log) {
    const { job } = record;
    if (!job.complaint && store.get("complaint", "")) {
      Sparkgap.jobs.complain(job, store.get("complaint"));
      store.remove("complaint");
    }
    if (JSON.stringify(job.log.map((entry) => tidy(entry))) === JSON.stringify(log)) return;
    Object.assign(job, { log, symptom, knowledge: Sparkgap.data.digest, who: who() });
    if (!job.technician) job.technician = store.get("technician", "");
  }

  /* What the causes have now goes with the answer that was given last. */
  function withShares(log, belief) {
    const last = log[log.length - 1];
    if (!belief || !last || last.kind !== "answer" || last.shares) return;
    const large = Object.entries(belief).filter(([, share]) => share >= 0.001).sort((a, b) => b[1] - a[1]);
    last.shares = Object.fromEntries(large.slice(0, 60).map(([name, share]) => [name, Math.min(1, Math.round(share * 1e6) / 1e6)]));
  }

  /* Keep what the guide shows. A job begins with its first entry; emptied at one stroke, it is begun again and the old one
     stays on the list. {log, and for the card: title, said, answers, shares, next}; belief: the shares as numbers. */
  function save(symptom, shown) {
    const { jobs } = Sparkgap;
    const now = jobs.time();
    const { log, belief, number, technician, ...card } = shown; // the last two are the job's own
    const fresh = log.length && !log[log.length - 1].at;
    log.forEach((entry) => become(entry, tidy(entry, now, store.get("technician", ""))));
    if (fresh) withShares(log, belief);
    const record = jobs.current();
    let kept = true;
    if (record && emptied(record.job.log, log)) kept = again(record);
    else if (record || log.length) kept = jobs.change((one) => write(one, symptom, structuredClone(log)));
    const mine = jobs.current();
    store.set("card." + (mine ? mine.job.id : "none"), { symptom, ...card });
    return kept;
  }

  /* A new job for the same unit, owner and complaint; the old one stays as it is. */
  function again(record) {
    const { jobs } = Sparkgap;
    const { owner, unit, complaint, number } = structuredClone(record.job);
    const next = jobs.blank({ owner, unit, complaint, number });
    next.written = { ...record.written };
    const kept = jobs.put(next);
    jobs.take(next.job.id);
    document.dispatchEvent(new CustomEvent("sparkgap:job"));
    return kept;
  }

  /* What the guide has last shown of the job in hand for a symptom, for the job card; null when that is another one. */
  function card(symptom) {
    const record = Sparkgap.jobs.current();
    const held = store.get("card." + (record ? record.job.id : "none"));
    if (!held || held.symptom !== symptom) return null;
    if (!record) return held;
    const { complaint, number, technician } = record.job;
    return { ...held, complaint, number, technician };
  }

  // ---- the log as evidence ----

  /* Whether every answer that an entry gives is one of the check. A reading weighs a side that has no answer with 0. */
  function counts(entry, check) {
    if (!check || !check.answers) return Boolean(check);
    return Object.entries(entry.v).every(([name, share]) => !(share > 0) || Object.hasOwn(check.answers, name));
  }

  function passed(entry, site, proofGates) {
    if (!entry.remedy) return void site.held.add(entry.id);
    if (!proofGates.has(entry.remedy)) proofGates.set(entry.remedy, new Set());
    return void proofGates.get(entry.remedy).add(entry.id);
  }

  function apply(entry, evidence, site, proofGates, view) {
    if (["answer", "done", "failed"].includes(entry.kind)) proofGates.clear();
    if (entry.kind === "answer" && counts(entry, view.checks[entry.id])) {
      evidence.results[entry.id] = { v: entry.v, hearsay: Boolean(entry.hearsay) };
      evidence.aside = evidence.aside.filter((id) => id !== entry.id);
      if (!entry.hearsay) site.do(view.checks[entry.id]);
    } else if (entry.kind === "aside" && (view.checks[entry.id] || view.remedies[entry.id])) {
      evidence.aside.push(entry.id);
    } else if (entry.kind === "replaced") {
      evidence.replaced.push({ part: entry.part, when: entry.when });
    } else if ((entry.kind === "failed" || entry.kind === "done") && view.remedies[entry.id]) {
      const remedy = view.remedies[entry.id];
      site.do(remedy);
      if (view.checks[remedy.proof]) site.do(view.checks[remedy.proof]);
      if (entry.kind === "failed") evidence.failed.push(entry.id);
    } else if (["gate", "proof-gate"].includes(entry.kind) && view.gates[entry.id]) {
      passed(entry, site, proofGates);
    }
  }

  /* {evidence, site (the gates that hold, what is open), proofGates (remedy -> those passed after it, for its proof), done
     (the remedy proved, or null)} of a job. */
  function fold(job, model, view) {
    const site = new Sparkgap.gates.Job(view.gates, model.access);
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

  // ---- the log in words ----

  function answered(entry, check) {
    const reading = entry.readings ? entry.readings.map((one) => one.text).join(", ") : "";
    const answer = check.answers[entry.answer];
    const words = answer ? answer.says : entry.answer ? entry.answer : TOO_CLOSE;
    const told = entry.hearsay ? " (told, not seen)" : "";
    const lost = counts(entry, check) ? "" : " (not counted: no answer of this check any more)";
    return [check.ask, (reading ? reading + ": " : "") + words + told + lost];
  }

  /* What an entry says: [what, result], or null for a line that is not a finding. */
  function says(entry, view) {
    const check = view.checks[entry.id];
    const remedy = view.remedies[entry.id];
    if (entry.kind === "answer" && check) return answered(entry, check);
    if (entry.kind === "aside" && (check || remedy)) return [check ? check.ask : remedy.title, "Set aside: cannot be done now"];
    if (entry.kind === "replaced") return [view.parts[entry.part] || entry.part, WHEN[entry.when]];
    if (entry.kind === "failed" && remedy) return [remedy.title, "Done, but the proof failed"];
    if (entry.kind === "done" && remedy) return [remedy.title, "Done and proved"];
    return null;
  }

  /* What of a job the knowledge at hand does not have: it is kept, and not counted. known: job-format.js. */
  function unknown(job, known) {
    const lines = [];
    const lacks = (what) => lines.push(what + ": kept, and not counted");
    for (const [name, value] of Object.entries(job.unit.plate)) {
      const plate = Sparkgap.data.plate[name];
      const choice = typeof value === "string";
      if (!plate || (plate.kind === "choice") !== choice || (choice && !plate.values[value])) lacks("The plate value " + name + " = " + value);
    }
    if (job.symptom && !known.symptoms[job.symptom]) lacks("The symptom " + job.symptom);
    for (const entry of job.log) {
      const check = known.checks[entry.id];
      if (entry.kind === "answer" && !check) lacks("The answer to the check " + entry.id);
      else if (entry.kind === "answer" && !counts(entry, check)) lacks("The answer " + entry.answer + " to “" + check.ask + "”");
      else if (entry.kind === "gate" && !known.gates[entry.id]) lacks("The safety gate " + entry.id);
      else if (entry.kind === "aside" && !check && !known.remedies[entry.id]) lacks("Set aside: " + entry.id);
      else if (entry.kind === "replaced" && !known.parts[entry.part]) lacks("The part " + entry.part);
      else if (["done", "failed"].includes(entry.kind) && !known.remedies[entry.id]) lacks("The repair " + entry.id);
    }
    return lines;
  }

  // ---- the unit in hand ----

  function known(name, value) {
    const plate = Sparkgap.data.plate[name];
    return Boolean(plate) && (plate.kind === "choice" ? typeof value === "string" && Object.hasOwn(plate.values, value) : typeof value === "number");
  }

  /* The plate of the job in hand, or without a job the one that the bar holds: {unit, values, written}. */
  function plate(otherwise) {
    const record = Sparkgap.jobs.current();
    if (!record) return store.get("plate", otherwise);
    const { unit } = record.job;
    const values = Object.fromEntries(Object.entries(unit.plate).filter(([name, value]) => known(name, value)));
    return { unit: unit.id && Sparkgap.data.shipped[unit.id] ? unit.id : "", values, written: record.written || {} };
  }

  function setPlate(typed) {
    if (!Sparkgap.jobs.current()) return store.set("plate", typed);
    return Sparkgap.jobs.change((record) => Sparkgap.jobs.fill(record, typed));
  }

  Sparkgap.job = { load, save, who, fold, says, card, again, tidy, unknown, plate, setPlate, KEYS };
})();
