/* A reload keeps what was typed. Back does so without this: see sends_to.

   What is typed stays in this tab, for the person who typed it, under the step of the
   tab's history: a page that is opened anew starts empty. Passwords and files are left
   out. */
"use strict";

(() => {
  const MANY = 50;
  const aside = new Set(["password", "file", "submit", "button"]);
  const paper = new Set(["csrfmiddlewaretoken", "who", "opened", "beside"]);

  const boxes = (form) =>
    [...form.elements].filter(
      (box) =>
        box.name &&
        !aside.has(box.type) &&
        !paper.has(box.name) &&
        !box.name.endsWith("_FORMS")
    );
  const ticked = (box) => box.type === "checkbox" || box.type === "radio";
  const says = (box) => (ticked(box) ? box.checked : box.value);
  // On the answer to a form that was sent stands what was typed before it was sent.
  const answers = new URLSearchParams(location.search).has("sent");
  const typed = (form) => answers && !form.elements.opened;
  // Only what was touched: the rest may have been changed by somebody else meanwhile.
  const touched = (box) => {
    if (box.name === "key" || typed(box.form)) return true;
    if (ticked(box)) return box.checked !== box.defaultChecked;
    if (box.options) return [...box.options].some((one) => one.selected !== one.defaultSelected);
    return box.value !== box.defaultValue;
  };
  const step = history.state?.typed || String(Math.random()).slice(2);
  history.replaceState({ ...history.state, typed: step }, "");
  const place = (form) => `typed:${form.elements.who.value}:${step}`;

  function keep(form) {
    const found = boxes(form)
      .filter(touched)
      .map((box) => [box.name, ticked(box) ? box.value : "", says(box)]);
    try {
      if (sessionStorage.length > MANY) sessionStorage.clear();
      sessionStorage.setItem(place(form), JSON.stringify(found));
    } catch {
      /* No room is no fault: the page works without it. */
    }
  }

  function bring(form) {
    const found = JSON.parse(sessionStorage.getItem(place(form)) || "[]");
    const rest = boxes(form);
    for (const [name, value, said] of found) {
      const at = rest.findIndex(
        (box) => box.name === name && (!ticked(box) || box.value === value)
      );
      if (at < 0) continue;
      const [box] = rest.splice(at, 1);
      if (says(box) === said) continue;
      if (ticked(box)) box.checked = said;
      else box.value = said;
      const fold = box.closest("details");
      if (fold) fold.open = true;
      if (box.type !== "hidden") box.dispatchEvent(new Event("change", { bubbles: true }));
    }
  }

  // Brought back from the browser's own store after its person signed out, a page goes.
  const name = "demo" in document.documentElement.dataset ? "demo_seat=" : "seat=";
  const seat = document.cookie.split("; ").find((one) => one.startsWith(name));
  const here = seat?.slice(name.length).replaceAll('"', "");
  const brought = performance.getEntriesByType("navigation")[0]?.type === "back_forward";
  function leave(again) {
    const who = document.querySelector("main form[method=post] [name=who]");
    if (!who || !again || who.value === here) return;
    document.documentElement.hidden = true;
    location.replace(location.href.replace(/([?&])sent(&|$)/, "$1").replace(/[?&]$/, ""));
  }
  leave(brought);
  addEventListener("pageshow", (event) => leave(event.persisted));

  for (const form of document.querySelectorAll("main form[method=post]")) {
    if (!form.elements.who) continue;
    bring(form);
    if (typed(form)) keep(form);
    for (const told of ["input", "change"]) form.addEventListener(told, () => keep(form));
  }
})();
