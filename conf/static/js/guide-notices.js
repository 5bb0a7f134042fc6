// What stands beside the next step: which unit it is, what bars it, findings that contradict each other, two faults at once.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, data, plate } = Sparkgap;
  const TELLS = 0.3; // as far as two faults' answers must differ for a check to be worth naming
  const NAMED = 2;
  const FEW = 4; // so many values of a choice are all shown

  // ---- which unit ----

  /* The values of a choice that something of this symptom asks for. */
  function mentioned(thing, name, found = new Set()) {
    if (thing && typeof thing === "object") {
      if (thing.name === name && thing.any) thing.any.forEach((value) => found.add(value));
      Object.values(thing).forEach((inner) => mentioned(inner, name, found));
    }
    return found;
  }

  /* One tap for each value; with a model only those that matter to its symptom. */
  function choices(name, model) {
    const asked = mentioned(model, name);
    const all = Object.entries(data.plate[name].values);
    const tap = ([id, says]) => h("button", { type: "button", "data-plate": name, "data-value": id, onclick: () => plate.put(name, id) },
      says.split(",")[0]);
    const named = all.filter(([id]) => asked.has(id));
    return h("div", { class: "taps", role: "group", "aria-label": data.plate[name].title }, (model && named.length && all.length > FEW ? named : all).map(tap));
  }

  function typed(name) {
    const one = data.plate[name];
    const unit = one.unit && one.unit !== "1" ? data.units[one.unit].label : "";
    const wrong = h("span", { class: "wrong", role: "status" });
    const input = h("input", { inputmode: "text", autocomplete: "off", "aria-label": one.title, "data-plate": name });
    const use = () => {
      try {
        if (input.value.trim()) plate.put(name, input.value);
      } catch (error) {
        wrong.textContent = error.message + (error.fix ? ": " + error.fix : "");
      }
    };
    input.addEventListener("keydown", (event) => { if (event.key === "Enter") use(); });
    return h("div", { class: "taps" }, input, unit, h("button", { type: "button", onclick: use }, "Set"), wrong);
  }

  function asked(name, model) {
    const one = data.plate[name];
    return h("div", { class: "plate-ask" }, h("p", {}, h("b", {}, one.title + "? "), h("small", {}, one.where)),
      one.kind === "choice" ? choices(name, model) : typed(name));
  }

  function unit({ result, sm, held, model }) {
    const known = result.missing.filter((name) => data.plate[name]);
    if (!known.length) return "";
    const first = known.includes(sm.ask_first) ? sm.ask_first : known[0];
    const rest = known.filter((name) => name !== first);
    return h("section", { class: "panel which" }, h("h2", {}, "Which unit is it?"), asked(first, model),
      h("details", { open: held.unitOpen, ontoggle: (event) => { held.unitOpen = event.target.open; } },
        h("summary", {}, rest.length ? "More: " + rest.map((name) => data.plate[name].title.toLowerCase()).join(", ") : "More"),
        known.map((name) => name === first && data.plate[name].kind !== "choice" ? "" : asked(name, null)),
        h("button", { type: "button", class: "quiet", onclick: () => document.getElementById("sg-plate-open").click() },
          "Choose a whole unit")));
  }

  // ---- contradiction and two faults ----

  function conflict({ result, view, log, on }) {
    const check = result.conflict && view.checks[result.conflict.gid];
    if (!check) return "";
    const entry = Sparkgap.guideFound.standing(log).find((one) => one.kind === "answer" && one.id === result.conflict.gid);
    if (!entry) return "";
    return h("div", { class: "warn-box", "data-conflict": entry.id }, h("h3", {}, "These findings contradict each other"),
      h("p", {}, "The one that fits least: ", h("b", {}, check.ask), " ", Sparkgap.job.says(entry, view)[1] + "."),
      h("p", {}, "One finding is wrong, or there is more than one fault."),
      h("div", { class: "row" }, h("button", { type: "button", onclick: () => on.choose(entry.id) }, "Ask it again"),
        h("button", { type: "button", class: "quiet", onclick: () => on.undo(entry) }, "Undo just this")));
  }

  /* The open checks, best first, whose answers two faults give differently. */
  function separating({ result, sm }, pair) {
    const apart = (check) => {
      const [one, other] = pair.map((name) => Sparkgap.belief.row(check, name));
      return one.reduce((total, share, n) => total + Math.abs(share - other[n]), 0) / 2;
    };
    return result.next.filter((option) => option.kind === "check")
      .filter((option) => apart(sm.checks.find((check) => check.id === option.id)) >= TELLS).slice(0, NAMED);
  }

  function two(context) {
    const { result, view, words, on } = context;
    if (!result.two) return "";
    const open = separating(context, result.two.pair);
    return h("div", { class: "warn-box", "data-two": result.two.pair.join(" ") },
      h("h3", {}, "Two faults at once are likelier than one"),
      h("ul", {}, result.two.pair.map((name) => h("li", {}, h("b", {}, view.faults[name]
        ? h("a", { href: view.faults[name].url }, view.faults[name].title) : words.faults[name])))),
      open.length ? h("p", {}, "What would separate them:") : h("p", {}, "No check that is left here tells them apart: repair the likelier one, prove it, and go on from there."),
      h("div", { class: "row" }, open.map((option) => h("button", { type: "button", "data-separates": option.id,
        onclick: () => on.choose(option.id) }, view.checks[option.id].title))));
  }

  /* What was found and bars all else: it is put right and answered again, whatever else may be asked meanwhile. */
  function barred({ result, view, on, held, log }) {
    const shown = held.chosen || result.next[0].id;
    return result.next.filter((option) => option.again && option.id !== shown).map((option) =>
      h("div", { class: "stop-box", "data-barred": option.id, tabindex: "-1" }, h("b", {}, "Put this right first, then answer again"),
        h("p", {}, view.checks[option.id].ask + " ", Sparkgap.guideFound.answered(option.id, { log, view })),
        h("button", { type: "button", onclick: () => on.choose(option.id) }, "It is put right: answer again")));
  }

  Sparkgap.guideNotices = (context) => [...barred(context), conflict(context), two(context)].filter(Boolean);
  Sparkgap.guideUnit = unit;
})();
