// The jobs page: every job on this device; open, close, hand on, bring in, repeat, delete.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, store, data, jobs, job, jobBar, jobFile, jobFormat, jobPhotos, jobSheet } = Sparkgap;
  const { button } = jobBar;
  const root = document.getElementById("sg-jobs");
  const ENDS = { repaired: "Repaired and proved", normal: "Nothing was wrong", "left-off": "Left shut off, red tag", referred: "Handed to somebody else" };
  const ROOM = 4_000_000; // signs of text: most browsers keep some five million
  const shown = { panel: null, said: [] }; // panel: [kind, id] of the one question that is open

  function ask(kind, id) {
    return () => { shown.panel = [kind, id]; draw(); };
  }

  function done(...lines) {
    shown.panel = null;
    shown.said = lines;
    draw();
  }

  function counted(count, one, many) {
    return count + " " + (count === 1 ? one : many);
  }

  function holds(record) {
    const { log, photos = [], minutes = {} } = record.job;
    const total = Math.round(Object.values(minutes).reduce((sum, one) => sum + one, 0));
    return [counted(log.filter((one) => one.kind !== "gate").length, "entry", "entries"), counted(photos.length, "photo", "photos"),
      counted(total, "minute", "minutes")].join(", ");
  }

  // ---- what can be done with a job ----

  async function hand(id) {
    const lost = await jobBar.hand(id);
    done("Exported. The file is where the browser puts downloads; the job stays here too.",
      ...lost.map((name) => "Not in the file, because it is not on this device any more: photo " + name));
  }

  async function duplicate(id) {
    const { job: whole } = await jobs.whole(id);
    const { kept, record } = await jobs.add({ ...whole, id: jobs.newId(), opened: jobs.time(), changed: jobs.time(), closed: null, outcome: null });
    done((kept ? "Duplicated: " : "Duplicated in this page only: ") + jobBar.nameOf(record.job));
  }

  function startAgain(id) {
    const kept = job.again(jobs.read(id));
    done(kept ? "Begun again with the same unit and complaint, and in hand. The old job stays in the list." : "Begun again, in this page only.");
  }

  function reopen(id) {
    const record = structuredClone(jobs.read(id));
    const { outcome, closed } = record.job;
    const was = "Opened again. It was closed " + closed + (outcome ? ": " + [ENDS[outcome.end], outcome.says].filter(Boolean).join(". ") : "");
    record.job.log.push(job.tidy({ kind: "note", text: was.slice(0, jobs.LIMIT.note) }, jobs.time(), store.get("technician", "")));
    Object.assign(record.job, { closed: null, outcome: null, changed: jobs.time() });
    jobs.put(record);
    jobs.take(id);
    done("Opened again, and in hand.");
  }

  // ---- closing ----

  function outcomeOf(form) {
    const value = (name) => form.elements[name].value.trim();
    const red = value("end") === "left-off" ? { why: value("why"), shut: value("shut"), before: value("before") } : null;
    const wrong = [];
    if (!value("end")) wrong.push("Say how it ended.");
    if (red && Object.values(red).some((one) => !one)) wrong.push("A red tag says why, what was shut, and what must hold before it runs again.");
    return { wrong, outcome: { end: value("end"), fault: value("fault") || null, cause: value("cause"), says: value("says"), red_tag: red } };
  }

  function close(record, form) {
    const { wrong, outcome } = outcomeOf(form);
    form.querySelector(".wrong").textContent = wrong.join(" ");
    if (wrong.length) return;
    const next = structuredClone(record);
    jobBar.run(next, "");
    Object.assign(next.job, { closed: jobs.time(), changed: jobs.time(), outcome });
    const kept = jobs.put(next);
    if (jobs.handed() === next.job.id) jobs.take("");
    done(kept ? "Closed: " + ENDS[outcome.end] + "." : "Closed in this page only: export it now.");
  }

  function closing(record) {
    const proved = record.job.log.filter((one) => one.kind === "done").pop();
    const red = h("div", { class: "job-fields", hidden: true }, [["why", "Why it is left off", 1000], ["shut", "What was shut, and where", 500],
      ["before", "What must hold before it runs again", 1000]].map(([name, title, limit]) =>
      h("label", { class: "field" }, title, h("input", { name, maxlength: limit, autocomplete: "off" }))));
    const ends = Object.entries(ENDS).map(([id, title]) => h("label", { class: "tick" }, h("input", { type: "radio", name: "end", value: id,
      onchange: (event) => { red.hidden = event.target.value !== "left-off"; } }), title));
    const ended = proved && jobFormat.known.remedies[proved.id] ? jobFormat.known.remedies[proved.id].ends : [];
    const faults = Object.entries(jobFormat.known.faults).sort((a, b) => a[1] < b[1] ? -1 : 1)
      .map(([id, title]) => h("option", { value: id, selected: ended.length === 1 && ended[0] === id }, title));
    const form = h("form", { class: "job-ask", onsubmit: (event) => { event.preventDefault(); close(record, form); } }, h("h4", {}, "How did it end?"),
      h("div", { class: "job-ends" }, ends), proved ? "" : h("p", { class: "warn-box" }, "No proof is in the log: “repaired” means proved."), red,
      h("div", { class: "job-fields" }, h("label", { class: "field" }, "What was wrong", h("select", { name: "fault" }, h("option", { value: "" }, "not known, or nothing"), faults)),
        h("label", { class: "field" }, "Its root cause", h("input", { name: "cause", maxlength: 1000, autocomplete: "off" })),
        h("label", { class: "field wide" }, "What was done", h("textarea", { name: "says", rows: 2, maxlength: 2000 }))),
      h("p", { class: "wrong", role: "alert" }), h("div", { class: "row" }, h("button", { type: "submit", class: "primary" }, "Close the job"), button("Not yet", () => done())));
    return form;
  }

  function deleting(record) {
    const { id } = record.job;
    return h("div", { class: "job-ask warn-box", role: "alertdialog", "aria-label": "Delete this job" },
      h("p", {}, h("b", {}, "This cannot be undone. "), "Gone from this device: " + holds(record) + ", complaint, unit and owner of “" + jobBar.nameOf(record.job) + "”."),
      h("div", { class: "row" }, button("Export it first", () => jobBar.hand(id), "primary"),
        button("Delete it for good", () => jobs.forget(id).then(() => done("Deleted.")), "danger"), button("Keep it", () => done())));
  }

  // ---- bringing in ----

  async function readFile(file) {
    if (file.size > jobFile.MAX_BYTES) throw jobFile.large(file.name);
    return jobFile.parse(await file.arrayBuffer(), file.name);
  }

  async function bring(event) {
    const [file] = event.target.files;
    event.target.value = "";
    if (!file) return;
    try {
      const found = await readFile(file);
      if (jobs.read(found.id)) {
        shown.arrived = found;
        ask("same", found.id)();
      } else await take(found);
    } catch (error) {
      done(...(error.lines || [file.name + ": cannot be read (" + error.message + ")"]), "Nothing was taken from the file.");
    }
  }

  async function take(found, id = found.id) {
    const { kept, record } = await jobs.add({ ...found, id });
    done((kept ? "On this device now: " : "In this page only, this browser did not keep it: ") + jobBar.nameOf(record.job),
      ...job.unknown(record.job, jobFormat.known));
  }

  function same() {
    const found = shown.arrived;
    const mine = jobs.read(found.id).job;
    const newer = found.changed > mine.changed ? "The file is newer." : found.changed < mine.changed ? "The file is older than the job here." : "Both were changed at the same moment.";
    const replace = async () => {
      await jobPhotos.remove(found.id);
      await take(found);
    };
    return h("div", { class: "job-ask warn-box", role: "alertdialog", "aria-label": "This job is here already" },
      h("p", {}, h("b", {}, "This job is on this device already. "), newer + " Here: changed " + jobSheet.whenText(mine.changed) + "; file: " +
        jobSheet.whenText(found.changed) + "."),
      h("div", { class: "row" }, button("Keep both", () => take(found, jobs.newId()), "primary"), button("Put the file in its place", replace),
        button("Leave the file", () => done())));
  }

  // ---- the list ----

  const PANELS = { close: closing, delete: deleting };

  function panelOf(record) {
    if (!shown.panel || shown.panel[1] !== record.job.id) return "";
    return shown.panel[0] === "same" ? same() : PANELS[shown.panel[0]](record);
  }

  function acts(record, inHand) {
    const { id, closed } = record.job;
    const first = closed ? button("Open again", () => reopen(id), "primary") : inHand ? h("a", { class: "act-button primary", href: jobBar.pageOf(record.job) }, "Go on")
      : button("Take in hand", () => jobBar.turn(id), "primary");
    return h("div", { class: "row" }, first, closed ? "" : button("Close", ask("close", id)), button("Export", () => hand(id)),
      h("details", { class: "job-more" }, h("summary", {}, "More"), h("div", { class: "row" }, button("Duplicate", () => duplicate(id)),
        button("Start again", () => startAgain(id)), button("Delete", ask("delete", id)))));
  }

  function row(record) {
    const one = record.job;
    const inHand = jobs.handed() === one.id && !one.closed;
    const symptom = jobBar.symptomOf(one);
    const ended = one.outcome ? "Closed " + jobSheet.whenText(one.closed) + ": " + ENDS[one.outcome.end] : "Last changed " + jobSheet.whenText(one.changed);
    return h("li", { class: "job-row" + (inHand ? " in-hand" : ""), "data-job": one.id },
      h("div", { class: "job-head" }, h("b", {}, [one.number, one.unit.title || "Unit not named"].filter(Boolean).join(" · ")), inHand ? h("span", { class: "chip" }, "In hand") : ""),
      h("p", {}, symptom ? symptom.title : one.symptom ? "Symptom " + one.symptom : "No symptom yet"),
      one.complaint ? h("p", { class: "job-words" }, "“" + one.complaint.slice(0, 160) + "”") : "",
      h("p", { class: "note" }, ended + " · " + holds(record) + (jobs.unkept.has(one.id) ? " · only in this page: export it" : "")), acts(record, inHand), panelOf(record));
  }

  function list(title, records, nothing) {
    return h("section", {}, h("h2", {}, title), records.length ? h("ul", { class: "job-list" }, records.map(row)) : h("p", { class: "note" }, nothing));
  }

  function broken() {
    return jobs.damaged().map((id) => h("p", { class: "warn-box" }, "A job on this device cannot be read (" + id + "). ",
      button("Delete it", () => jobs.forget(id).then(() => done("Deleted.")))));
  }

  function room() {
    let used = 0;
    try { used = Object.entries(localStorage).reduce((sum, [name, text]) => sum + name.length + text.length, 0); } catch { /* refused, and said in the bar */ }
    return used < ROOM ? "" : h("p", { class: "warn-box" }, "The room for jobs is nearly used up. Export the closed ones, then delete them here.");
  }

  function draw() {
    const records = jobs.all();
    const record = jobs.current();
    const pick = h("input", { type: "file", id: "sg-import", class: "sr", accept: ".json,application/json", onchange: bring });
    root.replaceChildren(
      h("div", { class: "row" }, button("New job", jobBar.fresh), pick, h("label", { for: "sg-import", class: "act-button" }, "Bring in a job file")),
      h("div", { id: "sg-jobs-said", role: "status" }, shown.said.map((line) => h("p", { class: "done-box" }, line))), room(), broken(),
      list("Open jobs", records.filter((one) => !one.job.closed), "None. A job begins with the first finding in a guide."),
      record ? jobSheet.draw(record) : "",
      list("Closed jobs", records.filter((one) => one.job.closed), "None."));
    root.hidden = false;
    const panel = root.querySelector(".job-ask");
    if (panel) panel.scrollIntoView({ block: "nearest" });
    jobBar.draw();
  }

  window.addEventListener("storage", (event) => {
    if (event.key && event.key.startsWith(jobs.PREFIX) && event.key !== jobs.PREFIX + jobs.handed() && !shown.panel) draw();
  });
  document.addEventListener("sparkgap:plate", () => {
    const name = root.querySelector('[data-field="unit.title"]');
    if (name && jobs.current()) name.value = jobs.current().job.unit.title;
  });
  Sparkgap.jobsPage = { draw };
  draw();
  if (data && location.hash) {
    const place = document.getElementById(location.hash.slice(1));
    if (place) place.scrollIntoView();
  }
})();
