// The sheet of the job in hand: whose unit it is, minutes, photos, parts and notes. Every field is kept as it is typed.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, store, data, jobs, job, jobBar, jobPhotos, jobPicture, jobFormat } = Sparkgap;
  const { known } = jobFormat;
  const PHOTOS = 24;
  const GATE = "Safety gate passed";

  function button(text, act, name) {
    return jobBar.button(text, act, name);
  }

  // ---- fields ----

  function at(record, path) {
    return path.reduce((value, key) => (value || {})[key], record.job) || "";
  }

  function put(record, path, value) {
    const last = path[path.length - 1];
    const target = path.slice(0, -1).reduce((value, key) => (value[key] = value[key] || {}), record.job);
    target[last] = value;
  }

  function field(record, title, path, limit, rows = 0) {
    const keep = (event) => jobs.change((one) => put(one, path, event.target.value));
    const control = h(rows ? "textarea" : "input", { maxlength: limit, rows: rows || null, autocomplete: "off", "data-field": path.join("."),
      value: at(record, path), oninput: keep });
    return h("label", { class: "field" }, title, control);
  }

  function initials(record) {
    const keep = (event) => {
      store.set("technician", event.target.value);
      jobs.change((one) => { one.job.technician = event.target.value; });
    };
    return h("label", { class: "field" }, "Technician: name or initials, sign gates and findings", h("input", { maxlength: 80, "data-field": "technician",
      autocomplete: "off", value: record.job.technician || store.get("technician", ""), oninput: keep }));
  }

  function heads(record) {
    return h("div", { class: "job-fields", "data-kept": "" },
      h("div", { class: "wide" }, field(record, "Complaint, in the owner’s words", ["complaint"], jobs.LIMIT.complaint, 3)),
      field(record, "Job number", ["number"], 40), initials(record),
      field(record, "What the unit is called", ["unit", "title"], 120), field(record, "Its serial number", ["unit", "serial"], 60),
      field(record, "Owner", ["owner", "name"], 120), field(record, "Owner’s telephone or mail", ["owner", "contact"], 120),
      field(record, "Where the vehicle stands", ["owner", "place"], 200), field(record, "Vehicle", ["owner", "vehicle"], 120),
      h("p", { class: "note wide" }, "The owner’s data stays on this device. It leaves it only in a file that you export yourself."));
  }

  // ---- minutes ----

  function minutes(record) {
    const set = (phase) => (event) => {
      const typed = Number(event.target.value.replace(",", "."));
      if (!Number.isFinite(typed) || typed < 0 || typed > 10000) return;
      jobs.change((one) => {
        one.job.minutes = { ...one.job.minutes, [phase]: typed };
        if (one.clock && one.clock.phase === phase) one.clock.since = Date.now();
      });
    };
    const rows = Object.entries(jobBar.PHASES).map(([phase, title]) => h("label", { class: "field" }, title,
      h("input", { inputmode: "decimal", "data-minutes": phase, autocomplete: "off", onchange: set(phase),
        value: String(Math.round(jobBar.minutes(record, phase) * 10) / 10) })));
    return h("div", {}, h("h3", {}, "Minutes"), h("p", { class: "note" }, "The clock in the bar counts on, also while the page is closed. Put right here what it got wrong."),
      h("div", { class: "job-minutes", "data-kept": "" }, rows));
  }

  // ---- photos ----

  async function addPhotos(event) {
    const files = [...event.target.files];
    const wrong = [];
    for (const file of files) {
      const record = jobs.current();
      if ((record.job.photos || []).length >= PHOTOS) wrong.push(file.name + ": a job keeps " + PHOTOS + " photos at most");
      else await addPhoto(record, file).catch((error) => wrong.push(file.name + ": " + said(error)));
    }
    Sparkgap.jobsPage.draw();
    if (wrong.length) say(wrong);
  }

  function said(error) {
    return error instanceof jobPicture.PictureRefused ? error.message : "cannot be used (" + error.message + ")";
  }

  async function addPhoto(record, file) {
    const { data: picture, width, height } = await jobPicture.small(file);
    const name = jobPicture.nameFor(file, record.job.photos || []);
    await jobPhotos.put(record.job.id, { [name]: picture });
    jobs.change((one) => { one.job.photos = [...(one.job.photos || []), { name, at: jobs.time(), says: "", width, height }]; });
  }

  function say(lines) {
    const place = document.getElementById("sg-photo-said");
    if (place) place.replaceChildren(...lines.map((line) => h("p", { class: "wrong" }, line)));
  }

  function photo(one, picture) {
    const describe = (event) => jobs.change((record) => {
      record.job.photos.find((other) => other.name === one.name).says = event.target.value;
    });
    const away = async () => {
      if (!globalThis.confirm("Take this photo out of the job? Its copy here is gone then; the original stays where it is.")) return;
      jobs.change((record) => { record.job.photos = record.job.photos.filter((other) => other.name !== one.name); });
      await jobPhotos.remove(jobs.current().job.id, one.name);
      Sparkgap.jobsPage.draw();
    };
    return h("li", { "data-photo": one.name }, picture ? h("img", { src: picture, alt: one.says || one.name, width: one.width, height: one.height })
      : h("p", { class: "wrong" }, "This photo is not on this device any more."),
    h("label", { class: "field", "data-kept": "" }, one.name, h("input", { maxlength: 300, value: one.says, autocomplete: "off",
      placeholder: "What it shows", oninput: describe })), button("Take out", away, "quiet"));
  }

  function photos(record) {
    const list = h("ul", { class: "job-photos" });
    const held = record.job.photos || [];
    jobPhotos.get(record.job.id).then((pictures) => list.replaceChildren(...held.map((one) => photo(one, pictures[one.name]))));
    const pick = h("input", { type: "file", accept: "image/*", multiple: true, id: "sg-photo", class: "sr", onchange: addPhotos });
    return h("div", {}, h("h3", {}, "Photos"), h("p", { class: "note" }, "A small copy without place and camera data is kept. The original stays with you."),
      list, h("div", { id: "sg-photo-said", role: "alert" }), pick, h("label", { for: "sg-photo", class: "act-button" }, "Add photos"));
  }

  // ---- log ----

  function whenText(text) {
    return new Date(text).toLocaleString([], { dateStyle: "short", timeStyle: "short" });
  }

  /* [what, result] of an entry of any kind, also one that this knowledge does not have. */
  function words(entry) {
    if (entry.kind === "note") return ["Note", entry.text];
    if (entry.kind === "gate") return [entry.remedy ? GATE + " before the proof" : GATE, known.gates[entry.id] || entry.id];
    const what = entry.id || entry.part;
    return job.says(entry, known) || [what, (entry.answer || entry.kind) + " (not counted: this knowledge does not have it)"];
  }

  function detail(entry) {
    const tools = (entry.readings || []).map((one) => one.tool && data.tools[one.tool] ? data.tools[one.tool].title : "").filter(Boolean);
    const within = typeof entry.within === "number" ? "within its limit with " + Sparkgap.percent(entry.within) : "";
    return [whenText(entry.at), entry.by, tools.join(", "), within].filter(Boolean).join(" · ");
  }

  function fittedText(entry) {
    return (entry.fitted || []).map((one) => (one.count > 1 ? one.count + " × " : "") + one.item).join(", ");
  }

  /* "2 × hose, clamp" as parts fitted; the part of the knowledge stays with the first. */
  function fittedFrom(text, before) {
    return text.split(",").map((one) => one.trim()).filter(Boolean).slice(0, 20).map((one, n) => {
      const match = /^(\d{1,2})\s*[×x]\s*(.+)$/.exec(one);
      const count = match ? Math.min(20, Math.max(1, Number(match[1]))) : 1;
      return { part: n === 0 && before[0] ? before[0].part : null, item: (match ? match[2] : one).slice(0, 120), count };
    });
  }

  function parts(entry, n) {
    if (!["done", "failed"].includes(entry.kind)) return "";
    const change = (work) => (event) => jobs.change((record) => work(record.job.log[n], event.target.value));
    return h("div", { class: "job-fields", "data-kept": "" },
      h("label", { class: "field" }, "Fitted", h("input", { "data-fitted": n, value: fittedText(entry), autocomplete: "off",
        placeholder: "2 × hose, clamp", oninput: change((one, text) => { one.fitted = fittedFrom(text, entry.fitted || []); }) })),
      h("label", { class: "field" }, "Taken out, and what it looked like", h("input", { "data-removed": n, maxlength: 500, value: entry.removed || "",
        autocomplete: "off", oninput: change((one, text) => { one.removed = text; }) })));
  }

  function logLine(entry, n) {
    const [what, result] = words(entry);
    return h("li", { "data-entry": n }, h("small", {}, detail(entry)), h("span", {}, what + " "), h("b", {}, result), parts(entry, n));
  }

  function addNote(event) {
    event.preventDefault();
    const box = event.target.querySelector("textarea");
    const text = box.value.trim();
    if (!text) return;
    const kept = jobs.change((record) => {
      record.job.log.push(job.tidy({ kind: "note", text }, jobs.time(), store.get("technician", "")));
    });
    if (kept) box.value = "";
    Sparkgap.jobsPage.draw();
  }

  function log(record) {
    const lines = record.job.log.map(logLine);
    return h("div", {}, h("h3", {}, "What was found and done"), lines.length ? h("ol", { class: "job-log" }, lines) : h("p", { class: "note" }, "Nothing yet."),
      h("form", { class: "job-note-form", onsubmit: addNote }, h("label", { class: "field" }, "A note", h("textarea", { id: "sg-note", rows: 2, maxlength: jobs.LIMIT.note })),
        h("button", { type: "submit" }, "Add the note")));
  }

  function uncounted(record) {
    const lines = job.unknown(record.job, known);
    if (!lines.length) return h("div", { id: "sg-uncounted" });
    return h("div", { id: "sg-uncounted", class: "warn-box" }, h("b", {}, "This knowledge does not have"), h("ul", {}, lines.map((line) => h("li", {}, line))));
  }

  function draw(record) {
    return h("section", { class: "panel job-sheet", id: "sg-sheet" }, h("h2", {}, "In hand: " + jobBar.nameOf(record.job)),
      h("p", {}, h("a", { class: "act-button primary", href: jobBar.pageOf(record.job) }, record.job.symptom ? "Go on in the guide" : "Find the symptom")),
      uncounted(record), heads(record), minutes(record), photos(record), log(record));
  }

  Sparkgap.jobSheet = { draw, words, whenText, fittedFrom, fittedText };
})();
