// A stopwatch. It counts from the clock of the device, so that a page that slept is right when it wakes.
(() => {
  "use strict";
  const box = document.getElementById("timer");
  if (!box) return;
  const figure = box.querySelector(".big"), stage = box.querySelector(".stage");
  const run = box.querySelector(".run"), shade = box.querySelector(".window"), tone = box.querySelector("[data-tone]");
  const keys = Object.fromEntries([...box.querySelectorAll("[data-do]")].map((one) => [one.dataset.do, one]));
  const windows = Object.fromEntries(
    [...box.querySelectorAll(".planned")].map((one) => [one.dataset.phase, [Number(one.dataset.low), Number(one.dataset.high)]]));
  const WORDS = { ready: "Ready", hold: "Holding", thaw: "Thawing", done: "Timed" };
  const state = { phase: "ready", since: 0, hold: null, thaw: null, cued: "" };
  let sound = null;

  function beep(high) {
    if (!tone.checked) return;
    sound ??= new AudioContext();
    const voice = sound.createOscillator(), level = sound.createGain();
    voice.frequency.value = high ? 880 : 440;
    level.gain.value = 0.2;
    voice.connect(level).connect(sound.destination);
    voice.start();
    voice.stop(sound.currentTime + 0.25);
  }

  function running() { return state.phase === "hold" || state.phase === "thaw"; }

  function seconds() { return Math.max(0, (Date.now() - state.since) / 1000); }

  // Only while it runs is there a timing to lose: a page that listens always is not kept ready for the way back.
  function guard(event) { event.preventDefault(); }

  function enter(phase) {
    state.phase = phase;
    state.since = Date.now();
    state.cued = "";
    box.dataset.stage = phase;
    if (running()) addEventListener("beforeunload", guard);
    else removeEventListener("beforeunload", guard);
    keys.start.disabled = phase !== "ready";
    keys.lift.disabled = phase !== "hold";
    keys.thawed.disabled = phase !== "thaw";
    stage.textContent = WORDS[phase];
    draw();
    const next = { ready: keys.start, hold: keys.lift, thaw: keys.thawed, done: keys.reset }[phase];
    if (box.contains(document.activeElement)) next.focus();
  }

  function draw() {
    const now = running() ? seconds() : state.phase === "done" ? state.thaw : 0;
    figure.textContent = now.toFixed(1);
    const planned = windows[state.phase];
    const full = Math.max(planned ? planned[1] * 1.3 : 60, now);
    shade.setAttribute("x", planned ? (planned[0] / full) * 1000 : 0);
    shade.setAttribute("width", planned ? ((planned[1] - planned[0]) / full) * 1000 : 0);
    run.setAttribute("width", (now / full) * 1000);
    if (!running() || !planned) return;
    const cue = now < planned[0] ? "" : now <= planned[1] ? "in the window" : "past the window";
    if (cue !== state.cued) {
      state.cued = cue;
      stage.textContent = `${WORDS[state.phase]}: ${cue}`;
      beep(cue === "in the window");
    }
  }

  function fill(id, value) {
    const field = document.getElementById(id);
    if (!field) return;
    field.value = value.toFixed(1);
    field.dispatchEvent(new Event("change", { bubbles: true }));
  }

  keys.start.addEventListener("click", () => enter("hold"));
  keys.lift.addEventListener("click", () => { state.hold = seconds(); enter("thaw"); fill(box.dataset.contact, state.hold); });
  keys.thawed.addEventListener("click", () => { state.thaw = seconds(); enter("done"); fill(box.dataset.thaw, state.thaw); });
  keys.reset.addEventListener("click", () => { state.hold = state.thaw = null; enter("ready"); });
  document.addEventListener("visibilitychange", draw);
  setInterval(draw, 100);
  enter("ready");
})();
