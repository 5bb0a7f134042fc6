// What earlier pages kept, one list of findings for each symptom, becomes a job of its own, once. The old entry goes when
// the browser has taken the new one, and not before.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { store, jobs, job } = Sparkgap;
  const OLD = "sparkgap.job.";
  const VERDICTS = ["below", "within", "above"];
  const ID = /^[a-z][a-z0-9]*(-[a-z0-9]+)*$/;
  const GID = /^[a-z][a-z0-9-]*(\/[a-z][a-z0-9-]*)?$/;

  function fits(entry) {
    if (!entry || typeof entry !== "object") return false;
    if (entry.kind === "answer") return GID.test(entry.id) && Boolean(entry.v) && Object.keys(entry.v).length > 0;
    if (entry.kind === "replaced") return ID.test(entry.part) && ["for-this", "before", "unknown"].includes(entry.when);
    if (entry.kind === "gate" || entry.kind === "proof-gate") return ID.test(entry.id);
    return ["aside", "done", "failed"].includes(entry.kind) && GID.test(entry.id);
  }

  function note(text, now) {
    return { kind: "note", at: now, text: text.slice(0, jobs.LIMIT.note) };
  }

  /* An old entry in the present form; what the form has no place for becomes a note. */
  function moved(entry, now) {
    if (!fits(entry)) return [note("Kept from earlier: " + JSON.stringify(entry), now)];
    const made = job.tidy(entry, now, "");
    if (entry.kind !== "answer" || !entry.reading) return [made];
    made.verdict = VERDICTS.includes(entry.answer) ? entry.answer : "too-close";
    made.within = typeof entry.v.within === "number" ? entry.v.within : null;
    return [made, note("Read for " + entry.id + ": " + entry.reading, now)];
  }

  function move(symptom, held) {
    const now = jobs.time();
    const record = jobs.blank({ symptom: ID.test(symptom) ? symptom : null, knowledge: "" });
    jobs.fill(record, store.get("plate", { unit: "", values: {}, written: {} }));
    record.job.log = held.log.flatMap((entry) => moved(entry, now));
    jobs.complain(record.job, String(held.complaint || ""));
    if (!jobs.put(record)) return;
    const { log, ...card } = held;
    store.set("card." + record.job.id, { symptom, ...card });
    localStorage.removeItem(OLD + symptom);
    if (!jobs.handed() || location.pathname.endsWith("/" + symptom + ".html")) jobs.take(record.job.id);
  }

  function all() {
    let names = [];
    try { names = Object.keys(localStorage).filter((name) => name.startsWith(OLD)); } catch { /* refused: nothing was kept */ }
    for (const name of names) {
      const symptom = name.slice(OLD.length);
      const held = store.get("job." + symptom);
      if (held && Array.isArray(held.log) && held.log.length) move(symptom, held);
      else localStorage.removeItem(name);
    }
    if (names.length && jobs.current()) ["plate", "complaint"].forEach((name) => store.remove(name));
  }

  all();
})();
