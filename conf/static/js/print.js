// The job card of a procedure page: filled in with the unit and with what the guide has found, then printed.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, store, plate } = Sparkgap;
  const card = document.querySelector(".card");
  if (!card) return;

  function job() {
    const match = /^#found=([a-z0-9-]+)$/.exec(location.hash);
    return match ? Sparkgap.job.card(match[1]) : null;
  }

  const COMPLAINT = 400; // characters of the owner's words that fit on the card

  function put(name, text) {
    const place = card.querySelector('[data-card="' + name + '"]');
    if (place) place.textContent = text || "";
  }

  function cut(text) {
    return text.length > COMPLAINT ? text.slice(0, COMPLAINT).trimEnd() + " … (the job has all)" : text;
  }

  /* A card whose code holds only the procedure's name says where this copy of it is served from, if anywhere. */
  function address() {
    if (card.querySelector('[data-card="address"]') && /^https?:$/.test(location.protocol)) {
      put("address", location.origin + location.pathname);
    }
  }

  function foundLines(held) {
    return (held.said || []).map(([ask, says]) => h("tr", {}, h("th", { scope: "row" }, ask), h("td", {}, says)));
  }

  function found(held) {
    const place = card.querySelector('section[data-card="found"]');
    place.hidden = !held;
    if (!held) return place.replaceChildren();
    const shares = (held.shares || []).slice(0, 4).map(([cause, share]) => cause + " " + share).join("; ");
    return place.replaceChildren(h("h2", {}, "Found so far: " + held.title),
      h("table", {}, h("tbody", {}, foundLines(held))),
      shares ? h("p", {}, "Likeliest: " + shares) : "", held.next ? h("p", {}, "Next by the guide: " + held.next) : "");
  }

  function ticks(held) {
    for (const box of card.querySelectorAll("[data-answer] .card-ticked")) {
      box.classList.remove("card-ticked");
      box.textContent = "";
    }
    for (const [gid, answer] of Object.entries((held && held.answers) || {})) {
      const box = card.querySelector('[data-check="' + gid + '"] [data-answer="' + answer + '"] .card-box');
      if (box) {
        box.classList.add("card-ticked");
        box.textContent = "✓";
      }
    }
  }

  function note(held) {
    const place = document.getElementById("card-found");
    place.hidden = !held;
    if (!held) return place.replaceChildren();
    place.className = "card-note-box";
    return place.replaceChildren(h("p", {}, h("b", {}, "The card carries what the guide found: "),
      held.said.map(([ask, says]) => ask + " " + says).join(" · ") || "nothing yet"));
  }

  function fill() {
    const held = job();
    put("unit", plate.title());
    put("plate", plate.lines().map(([name, text]) => name + ": " + text).join(" · "));
    for (const name of ["number", "technician"]) put(name, held && held[name]);
    put("complaint", cut((held && held.complaint) || store.get("complaint", "") || ""));
    found(held);
    ticks(held);
    note(held);
  }

  document.getElementById("sg-print").addEventListener("click", () => { fill(); window.print(); });
  window.addEventListener("beforeprint", fill);
  window.addEventListener("hashchange", fill);
  document.addEventListener("sparkgap:plate", fill);
  address();
  fill();
})();
