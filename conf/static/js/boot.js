// Runs before the page is drawn: the class that shows script-only parts, the light, the store and a way to make elements.
(function () {
  "use strict";
  const Sparkgap = (globalThis.Sparkgap = globalThis.Sparkgap || {});
  const page = document.documentElement;
  const memory = new Map();

  page.classList.replace("no-js", "js");
  Sparkgap.root = page.dataset.root || "";

  /* What must outlive the page. A browser that refuses to keep it is noticed and said; the page goes on in memory. */
  Sparkgap.store = {
    refused: false,
    get(key, otherwise = null) {
      if (memory.has(key)) return memory.get(key);
      try {
        const text = localStorage.getItem("sparkgap." + key);
        return text === null ? otherwise : JSON.parse(text);
      } catch {
        return otherwise;
      }
    },
    set(key, value) {
      try {
        localStorage.setItem("sparkgap." + key, JSON.stringify(value));
        memory.delete(key);
        return true;
      } catch {
        memory.set(key, value);
        Sparkgap.store.refused = true;
        document.dispatchEvent(new CustomEvent("sparkgap:refused"));
        return false;
      }
    },
    remove(key) {
      memory.delete(key);
      try { localStorage.removeItem("sparkgap." + key); } catch { /* nothing was kept, so nothing stays */ }
    },
  };

  /* An element: h("p", {class: "why", onclick: f}, "text", child). Never takes HTML text. */
  Sparkgap.h = function (tag, attributes, ...children) {
    const element = document.createElement(tag);
    for (const [name, value] of Object.entries(attributes || {})) {
      if (value === null || value === undefined || value === false) continue;
      if (name.startsWith("on")) element.addEventListener(name.slice(2), value);
      else if (name === "value") element.value = value;
      else element.setAttribute(name, value === true ? "" : value);
    }
    element.append(...children.flat(3).filter((child) => child !== null && child !== undefined && child !== ""));
    return element;
  };

  /* A share as whole per cent, honest at the ends: 0.4 % is "<1 %", 99.7 % is ">99 %". */
  Sparkgap.percent = function (share) {
    if (share > 0 && share < 0.01) return "<1 %";
    if (share < 1 && share > 0.99) return ">99 %";
    return Math.floor(share * 100 + 0.5) + " %";
  };

  const LIGHTS = ["auto", "light", "dark", "sun"];
  const NAMES = { auto: "◐ Auto", light: "◐ Day", dark: "◐ Night", sun: "◐ Sun" };

  function shine(light) {
    page.dataset.light = light;
    const button = document.getElementById("sg-light");
    if (!button) return;
    button.textContent = NAMES[light];
    button.setAttribute("aria-label", "Light: " + NAMES[light].slice(2));
  }

  shine(LIGHTS.includes(Sparkgap.store.get("light")) ? Sparkgap.store.get("light") : "auto");
  document.addEventListener("DOMContentLoaded", () => {
    shine(page.dataset.light);
    const button = document.getElementById("sg-light");
    if (!button) return;
    button.addEventListener("click", () => {
      const next = LIGHTS[(LIGHTS.indexOf(page.dataset.light) + 1) % LIGHTS.length];
      Sparkgap.store.set("light", next);
      shine(next);
    });
  });
})();
