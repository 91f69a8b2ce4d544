// The page without a reload. Everything here also works by sending the form; a script only spares the waiting.
(() => {
  "use strict";
  document.documentElement.classList.add("js");
  const form = document.getElementById("visit");
  const HELD = "thawline at hand";
  const QUIET_MS = 350;

  for (const chooser of document.querySelectorAll("[data-into]")) {
    chooser.addEventListener("change", async () => {
      if (chooser.files[0]) document.getElementById(chooser.dataset.into).value = await chooser.files[0].text();
    });
  }
  if (!form) return;

  const answer = document.getElementById("answer");
  let asking = null;
  let waiting = 0;
  let last = "";

  async function ask(button) {
    clearTimeout(waiting);
    waiting = 0;
    const body = new URLSearchParams(new FormData(form));
    if (button && button.name) body.append(button.name, button.value);
    else if (body.toString() === last) return settle(asking);
    last = body.toString();
    if (asking) asking.abort();
    const mine = asking = new AbortController();
    answer.setAttribute("aria-busy", "true");
    try {
      const headers = { Accept: "text/html" };
      const response = await fetch(form.action, { method: "POST", body, headers, signal: mine.signal });
      const page = new DOMParser().parseFromString(await response.text(), "text/html");
      const problem = page.querySelector(".problem");
      if (!problem && !page.getElementById("answer")) throw new Error("no page");
      if (mine !== asking) return;
      if (problem) refuse(problem);
      else show(page, button && /^(add|same|remove)/.test(button.value));
    } catch (fault) {
      if (fault.name === "AbortError") return;
      last = "";
      document.getElementById("strip").textContent = "No answer: the service does not reply.";
      answer.classList.add("stale");
    }
    if (mine === asking) settle(asking = null);
  }

  // The answer is what the form states, unless a request is under way or something was typed since it was sent.
  function settle(under) {
    if (!under && !waiting) answer.removeAttribute("aria-busy");
  }

  function show(page, wholly) {
    const stand = standing();
    const opened = new Map([...document.querySelectorAll("details[data-key]")].map((one) => [one.dataset.key, one.open]));
    if (wholly) swap(page, "ask");
    else follow(document.getElementById("ask"), page.getElementById("ask"), document.activeElement);
    swap(page, "carried");
    answer.classList.remove("stale");
    const scrolled = answer.scrollTop;
    answer.replaceChildren(...page.getElementById("answer").childNodes);
    answer.scrollTop = scrolled;
    const said = page.getElementById("strip");
    const strip = document.getElementById("strip");
    if (strip.textContent !== said.textContent) strip.replaceChildren(...said.childNodes);
    for (const one of document.querySelectorAll("details[data-key]")) {
      if (opened.has(one.dataset.key)) one.open = opened.get(one.dataset.key);
    }
    if (wholly) enterLastLesion();
    else stand();
    mark();
  }

  // No answer, and why not. The one that stood there was to something else, so it goes.
  function refuse(problem) {
    last = "";
    const title = problem.querySelector("h1").textContent;
    const box = document.createElement("div"), said = document.createElement("p");
    answer.classList.remove("stale");
    box.className = "faults";
    box.setAttribute("role", "alert");
    said.append(title);
    box.append(said, ...[...problem.children].filter((one) => one.localName !== "h1"));
    answer.replaceChildren(answer.firstElementChild, box);
    document.getElementById("strip").textContent = `No answer: ${title}`;
  }

  // Where the keyboard stands, to stand there again: the very element where it is still on the page, or else the one
  // that took its place, or the answer that it stood in.
  function standing() {
    const at = document.activeElement, key = at.closest("details[data-key]")?.dataset.key, within = answer.contains(at);
    return () => {
      if (document.activeElement === at) return;
      const folded = key && document.querySelector(`details[data-key="${CSS.escape(key)}"] > summary`);
      const next = at.isConnected ? at : document.getElementById(at.id) || folded || (within ? answer : null);
      next?.focus({ preventScroll: true });
    };
  }

  function enterLastLesion() {
    const card = [...document.querySelectorAll("[id^=card-lesions]")].pop();
    card.querySelector("input[name$=lesion_id]").focus({ preventScroll: true });
    card.querySelector("h2").scrollIntoView({ block: "start" });
  }

  function swap(page, id) {
    document.getElementById(id).replaceChildren(...page.getElementById(id).childNodes);
  }

  // Let a list of questions follow the one that was sent: what is there stays as it is, with what was typed into it.
  // An element that is moved loses the keyboard, so the others go round the one in which it stands.
  function follow(here, sent, focused) {
    let place = here.firstElementChild;
    const names = new Set([...sent.children].map((one) => one.id));
    for (const next of [...sent.children]) {
      const known = next.id ? [...here.children].find((one) => one.id === next.id) : null;
      if (!known) { here.insertBefore(next, place); continue; }
      while (known.contains(focused) && place !== known) {
        const other = place;
        place = place.nextElementSibling;
        here.append(other);
      }
      if (known === place) place = known.nextElementSibling;
      else here.insertBefore(known, place);
      if (known.id === "timer-place") continue;
      for (const inner of next.querySelectorAll("[data-keyed]")) {
        const same = document.getElementById(inner.id);
        if (same && inner.parentElement.closest("[data-keyed]") === sent) follow(same, inner, focused);
      }
      for (const part of [":scope > .fault", ":scope > .measure > .unit"]) {
        const said = next.querySelector(part), old = known.querySelector(part);
        if (said && old) { old.textContent = said.textContent; old.hidden = said.hidden; }
      }
    }
    for (const one of [...here.children]) {
      if (one.id && !names.has(one.id) && !one.contains(focused)) one.remove();
    }
  }

  form.addEventListener("change", (event) => {
    remember(event.target);
    mark();
    if (event.target.name) ask();
  });
  form.addEventListener("input", (event) => {
    if (event.target.type !== "text" || !event.target.name) return;
    remember(event.target);
    answer.setAttribute("aria-busy", "true");
    clearTimeout(waiting);
    waiting = setTimeout(() => ask(), QUIET_MS);
  });
  form.addEventListener("submit", (event) => {
    if (event.submitter && event.submitter.hasAttribute("data-leave")) return;
    event.preventDefault();
    ask(event.submitter).then(() => {
      if (event.submitter && event.submitter.value === "answer") document.getElementById("answer").focus();
    });
  });

  // Where on the body: a tap on the drawing is the same as a choice in the list above it.
  form.addEventListener("click", (event) => {
    const region = event.target.closest("[data-site]");
    if (region) {
      const list = document.getElementById(region.closest(".bodymap").dataset.for);
      list.value = region.dataset.site;
      list.dispatchEvent(new Event("change", { bubbles: true }));
    }
    if (event.target.closest("[data-forget]")) forget();
  });

  function mark() {
    for (const map of form.querySelectorAll(".bodymap")) {
      const list = document.getElementById(map.dataset.for);
      for (const one of map.querySelectorAll("[data-site]")) one.classList.toggle("chosen", one.dataset.site === list.value);
      map.querySelector(".mapped").textContent = list.value ? list.selectedOptions[0].textContent : "";
    }
  }

  // What is at hand is kept in this browser and nowhere else.
  function heldFields() {
    return [...form.querySelectorAll("[name^='equipment.'],[name^='operator.']")];
  }
  function remember(field) {
    if (!field.name || !/^(equipment|operator)\./.test(field.name)) return;
    const held = {};
    for (const one of new FormData(form)) if (/^(equipment|operator)\./.test(one[0]) && one[1]) held[one[0]] = one[1];
    try { localStorage.setItem(HELD, JSON.stringify(held)); } catch { /* a browser may refuse */ }
  }
  function recall() {
    let held = {};
    try { held = JSON.parse(localStorage.getItem(HELD)) || {}; } catch { return false; }
    let found = false;
    for (const field of heldFields()) {
      if (!(field.name in held)) continue;
      if (field.type === "radio") { if (field.value === held[field.name] && !field.checked) { field.checked = true; found = true; } }
      else if (!field.value) { field.value = held[field.name]; found = true; }
    }
    return found;
  }
  function forget() {
    try { localStorage.removeItem(HELD); } catch { /* nothing was kept */ }
    for (const field of heldFields()) if (field.type === "radio") field.checked = field.value === ""; else if (field.type !== "hidden") field.value = "";
    ask();
  }

  const answered = document.querySelector("#answer .lesion");
  if (form.dataset.moment === "before" && !answered) recall();
  mark();
})();
