// The unit in hand: one of the shipped data plates or typed values, kept on the device and followed by every page.
(function () {
  "use strict";
  const Sparkgap = globalThis.Sparkgap;
  const { h, job } = Sparkgap;
  const data = Sparkgap.data;
  const quantities = Sparkgap.quantities;
  const EMPTY = { unit: "", values: {}, written: {} };
  let open = false;

  function current() {
    const held = job.plate(EMPTY);
    const shipped = data.shipped[held.unit];
    if (shipped) { // what was said of it besides its plate goes on top
      return { unit: held.unit, values: { ...shipped.plate, ...held.values }, written: { ...shipped.written, ...held.written } };
    }
    return held.unit ? EMPTY : held;
  }

  /* Write one value on the plate, as if it were typed; the rest stays. Throws when it cannot be read. */
  function put(name, text) {
    const held = job.plate(EMPTY);
    keep({ unit: held.unit, values: { ...held.values, [name]: value(name, text) },
      written: { ...held.written, [name]: text.trim() } });
  }

  function keep(plate) {
    job.setPlate(plate);
    draw();
    changed();
  }

  function changed() {
    mark(current().values);
    document.dispatchEvent(new CustomEvent("sparkgap:plate"));
  }

  function termHolds(term, value) {
    if (value === undefined || value === null) return null;
    if (term.any) return term.any.includes(value);
    return (term.low === null || value >= term.low) && (term.high === null || value < term.high);
  }

  /* Whether a condition holds for a plate: true, false, or null when a value is not known. */
  function holds(when, values) {
    const states = when.map((term) => termHolds(term, values[term.name]));
    if (states.includes(false)) return false;
    return states.includes(null) ? null : true;
  }

  /* The titles of the plate values that a list of conditions asks for and the plate does not give. */
  function lacking(whens, values) {
    const names = new Set(whens.flat().map((term) => term.name).filter((name) => values[name] === undefined));
    return [...names].map((name) => data.plate[name] ? data.plate[name].title : name);
  }

  function shown(name, values, written) {
    const plate = data.plate[name];
    const value = values[name];
    if (plate.kind === "choice") return (plate.values[value] || value).split(",")[0];
    if (plate.quantity === "ratio") return written[name] || quantities.formatNumber(value);
    return quantities.format(value, plate.quantity, "us", 4, plate.unit || null);
  }

  function title() {
    const plate = current();
    if (plate.unit) return data.shipped[plate.unit].title;
    return Object.keys(plate.values).length ? "Typed plate" : "";
  }

  /* The plate as text: [[title, value], …]. */
  function lines() {
    const plate = current();
    const known = Object.keys(data.plate).filter((name) => plate.values[name] !== undefined);
    const first = (name) => data.plate[name].kind === "quantity" ? 0 : 1;
    return known.sort((a, b) => first(a) - first(b))
      .map((name) => [data.plate[name].title, shown(name, plate.values, plate.written)]);
  }

  function mark(values) {
    for (const row of document.querySelectorAll("tr[data-when]")) {
      const when = JSON.parse(row.dataset.when);
      const state = when.length ? holds(when, values) : null;
      row.classList.toggle("fits-unit", state === true);
      row.classList.toggle("not-unit", state === false);
    }
  }

  function field(name, draft, told) {
    const plate = data.plate[name];
    const note = h("small", {}, plate.where);
    if (plate.kind === "choice") {
      const options = Object.entries(plate.values).map(([id, says]) =>
        h("option", { value: id, selected: draft.values[name] === id }, says));
      return h("label", {}, plate.title, h("select", { name, onchange: told },
        h("option", { value: "" }, "not known"), options), note);
    }
    const unit = plate.unit && plate.unit !== "1" ? " in " + data.units[plate.unit].label : "";
    return h("label", {}, plate.title + unit, h("input", { name, value: draft.written[name] || "", inputmode: "text",
      autocomplete: "off", oninput: told }), note, h("span", { class: "wrong", "data-wrong": name }));
  }

  function read(form) {
    const plate = { unit: "", values: {}, written: {} };
    for (const control of form.querySelectorAll("[name]")) {
      const name = control.name;
      if (!data.plate[name] || !control.value.trim()) continue;
      const wrong = form.querySelector('[data-wrong="' + name + '"]');
      try {
        plate.values[name] = value(name, control.value);
        plate.written[name] = control.value.trim();
        if (wrong) wrong.textContent = "";
      } catch (error) {
        wrong.textContent = error.message + (error.fix ? ": " + error.fix : "");
      }
    }
    return plate;
  }

  function value(name, text) {
    const plate = data.plate[name];
    if (plate.kind === "choice") return text;
    const unit = plate.unit && plate.unit !== "1" ? plate.unit : null;
    const found = quantities.parse(text, plate.quantity, unit).value;
    if ((plate.low !== null && found < plate.low) || (plate.high !== null && found > plate.high)) {
      const show = (si) => quantities.format(si, plate.quantity, "us", 4, unit);
      throw new quantities.QuantityError("out of range", "between " + show(plate.low) + " and " + show(plate.high));
    }
    return found;
  }

  function chooser(plate) {
    const units = Object.entries(data.shipped).map(([id, unit]) =>
      h("option", { value: id, selected: plate.unit === id }, unit.title));
    const pick = (event) => keep(event.target.value ? { unit: event.target.value, values: {}, written: {} } : EMPTY);
    return h("label", { class: "wide" }, "Unit", h("select", { id: "sg-unit", onchange: pick },
      h("option", { value: "" }, "Type the plate below"), units),
    h("small", {}, plate.unit ? data.shipped[plate.unit].note : "Invented units, for the demonstration."));
  }

  function form(plate) {
    const told = () => {
      const typed = read(box);
      job.setPlate(typed);
      const select = box.querySelector("#sg-unit");
      select.value = "";
      changed();
    };
    const fields = Object.keys(data.plate).map((name) => field(name, plate, told));
    const box = h("div", { class: "plate-form" }, chooser(plate), fields,
      h("div", { class: "wide plate-line" },
        h("button", { type: "button", onclick: () => { open = false; draw(); } }, "Done"),
        h("button", { type: "button", onclick: () => keep(EMPTY) }, "Another unit: clear")));
    return box;
  }

  function draw() {
    const bar = document.getElementById("sg-plate");
    if (!bar) return;
    const plate = current();
    const chips = lines().map(([name, text]) => h("li", {}, h("small", {}, name + " "), text));
    const name = title() || "No unit chosen";
    const toggle = h("button", { type: "button", id: "sg-plate-open", "aria-expanded": String(open),
      onclick: () => { open = !open; draw(); } }, open ? "Close" : title() ? "Change unit" : "Choose the unit");
    bar.replaceChildren(h("div", { class: "plate-line" }, h("span", { class: "name" }, name),
      chips.length ? h("ul", { class: "plate-values" }, chips)
        : h("p", { class: "plate-values" }, "Limits, parts and times follow its data plate."), toggle),
    open ? form(plate) : "");
    if (open) bar.querySelector("#sg-unit").focus();
  }

  Sparkgap.plate = { current, holds, lacking, lines, put, title };
  const follow = () => { if (!open) { draw(); changed(); } };
  document.addEventListener("sparkgap:taken", follow);
  window.addEventListener("storage", (event) => { if (event.key === "sparkgap.plate") follow(); });
  draw();
  mark(current().values);
})();
