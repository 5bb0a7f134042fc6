// What was measured or told before: any check of the symptom can be answered at once, marked as told and not seen.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h } = Sparkgap;
  const list = h("ul", { class: "known-list" });
  const search = h("input", { type: "search", id: "sg-known-search", autocomplete: "off",
    placeholder: "voltage, flame, bypass …", oninput: () => sift() });
  const none = h("p", { class: "note", hidden: true }, "No check of this symptom has these words.");
  const panel = h("details", { class: "panel", id: "sg-known" }, h("summary", {}, "Already known"),
    h("p", { class: "note" }, "What the owner or somebody else has measured or seen. It counts as told, not seen."),
    h("label", { class: "field" }, "Find the check", search), list, none);

  function text(check) {
    return [check.ask, check.title, ...Object.values(check.answers).map((answer) => answer.says)].join(" ").toLowerCase();
  }

  /* All words that were typed must be begun by a word of the check. */
  function sift() {
    const wanted = search.value.toLowerCase().split(/\s+/).filter(Boolean);
    let shown = 0;
    for (const item of list.children) {
      const fits = wanted.every((word) => item.dataset.words.includes(" " + word));
      item.hidden = !fits;
      shown += fits ? 1 : 0;
    }
    none.hidden = shown > 0;
  }

  function answers(gid, check, on) {
    const tell = { hearsay: true };
    const plain = h("div", { class: "choices" }, Object.entries(check.answers).map(([id, answer]) =>
      h("button", { type: "button", class: "choice", "data-known": gid, "data-answer": id, onclick: () => on.answer(gid, id, tell) },
        answer.says)));
    return h("div", {}, check.measure && check.measure.limit
      ? Sparkgap.guideCards.measured(check, (reading) => on.reading(gid, reading, tell)) : "", plain);
  }

  function item(gid, { view, evidence, on }) {
    const check = view.checks[gid];
    const result = evidence.results[gid];
    const body = h("div", {});
    const box = h("details", { ontoggle: () => { if (box.open && !body.childNodes.length) body.append(answers(gid, check, on)); } },
      h("summary", {}, h("span", {}, check.ask, result ? h("small", {}, " ✓ answered") : "")), body);
    return h("li", { "data-check": gid, "data-words": " " + text(check).replace(/[^\p{L}\p{N}]+/gu, " ") }, box);
  }

  /* The list follows the unit: only checks that apply to it stand there. */
  function refresh(context) {
    const ids = context.sm.checks.map((check) => check.id).filter((id) => context.view.checks[id]);
    list.replaceChildren(...ids.map((id) => item(id, context)));
    sift();
  }

  Sparkgap.guideKnown = { panel, refresh };
})();
