// What has been found and passed, each line with its undo; parts already replaced; who is working. Elements only.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, data, job } = Sparkgap;

  /* The entries that still count: of a check answered twice, the last. */
  function standing(log) {
    const last = new Map();
    log.forEach((entry, n) => { if (entry.kind === "answer" || entry.kind === "aside") last.set(entry.id, n); });
    return log.filter((entry, n) => !["answer", "aside"].includes(entry.kind) || last.get(entry.id) === n);
  }

  /* What was answered to a check and what follows from it: "Found: Set to bypass. Turn them to normal." */
  function answered(gid, { log, view }) {
    const entry = standing(log).find((one) => one.kind === "answer" && one.id === gid);
    const answer = entry && view.checks[gid].answers[entry.answer];
    return answer ? h("span", {}, h("b", {}, "Found: " + answer.says + ". "), answer.then || answer.means || "") : "";
  }

  function line(entry, { view, on }) {
    const said = job.says(entry, view);
    if (!said) return null;
    const aside = entry.kind === "aside";
    return h("li", { "data-found": entry.id || entry.part, class: aside ? "aside" : "" },
      h("div", {}, h("small", {}, said[0]), h("b", {}, said[1])),
      h("button", { type: "button", class: "quiet", "aria-label": (aside ? "Ask again: " : "Undo: ") + said[0],
        onclick: () => on.undo(entry) }, aside ? "Ask again" : "Undo"));
  }

  function held({ site, view, on }) {
    const ids = [...site.held].filter((id) => view.gates[id]).sort();
    if (!ids.length) return "";
    return h("details", {}, h("summary", {}, "Safety gates that hold: " + ids.length), h("ul", { class: "found-list" }, ids.map((id) =>
      h("li", { "data-holds": id }, h("b", {}, view.gates[id].title),
        h("button", { type: "button", class: "quiet", "aria-label": "Take back: " + view.gates[id].title,
          onclick: () => on.unpass(id) }, "Take back")))));
  }

  function found(context) {
    const lines = standing(context.log).map((entry) => line(entry, context)).filter(Boolean);
    return h("section", { class: "panel" }, h("h2", {}, "What has been found"),
      lines.length ? h("ul", { class: "found-list" }, lines)
        : h("p", { class: "note" }, "Nothing yet. Answer the check, or say what is known already."),
      held(context),
      context.log.length ? h("button", { type: "button", class: "quiet", onclick: context.on.clear }, "Start this symptom anew") : "");
  }

  function replaced({ view, on }) {
    const parts = Object.entries(view.parts);
    if (!parts.length) return "";
    const part = h("select", { id: "sg-part" }, parts.map(([id, name]) => h("option", { value: id }, name)));
    const when = h("select", { id: "sg-when" }, h("option", { value: "for-this" }, "for this complaint, no change"),
      h("option", { value: "before" }, "shortly before it began"), h("option", { value: "unknown" }, "nobody knows when"));
    return h("details", { class: "panel" }, h("summary", {}, "Parts already replaced"),
      h("label", { class: "field" }, "Part", part), h("label", { class: "field" }, "Fitted", when),
      h("p", {}, h("button", { type: "button", onclick: () => on.add({ kind: "replaced", part: part.value, when: when.value }) }, "Add")));
  }

  function setWho(event, on) {
    const set = new Set(job.who());
    if (event.target.checked) set.add(event.target.value); else set.delete(event.target.value);
    Sparkgap.store.set("who", Object.keys(data.qualifications).filter((id) => set.has(id)));
    on.draw();
  }

  /* Who is working, and the switch to a talk with the owner. */
  function who({ result, phone, on, held: state }, stay) {
    const mine = job.who();
    const names = phone ? "the owner, on the phone" : mine.map((id) => data.qualifications[id]).join(", ") || "nobody qualified";
    const ticks = Object.entries(data.qualifications).map(([id, name]) => h("label", { class: "tick" },
      h("input", { type: "checkbox", value: id, checked: mine.includes(id), onchange: (event) => setWho(event, on) }), name));
    const waiting = result.needs_qualified.length;
    const call = h("button", { type: "button", id: "sg-phone", class: phone ? "primary" : "quiet", "aria-pressed": String(phone),
      onclick: () => on.phone(!phone) }, phone ? "✓ Owner on the phone" : "Owner on the phone");
    const box = h("details", { open: state.whoOpen, ontoggle: (event) => { state.whoOpen = event.target.open; } },
      h("summary", {}, "Working: " + names),
      h("div", { class: "ticks" }, phone ? h("p", { class: "note" }, "For the truck list, who will come:") : "", ticks),
      waiting ? h("p", { class: "note" }, Sparkgap.reasons.count(waiting, "act") + " wait for a qualification not ticked here.") : "");
    return h("div", { class: "who-line" }, stay, box, call);
  }

  Sparkgap.guideFound = { answered, found, replaced, who, standing };
})();
