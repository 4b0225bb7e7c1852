"use strict";
// One question at a time: while one is being answered only the newest wishes wait.  The rest of the report follows the
// first answer once the hand is still.
const STILL_MS = 300;
const at = (id) => document.getElementById(id);
const form = at("controls");
let busy = false, waiting = false, since = 0, later = 0;

function system() { return form.elements.units.value; }

function said(control) {
  if (control.value === control.dataset.own && control.id !== "place") return "";
  return control.classList.contains("warmth") ? control.value + (system() === "ip" ? " F" : " C") : control.value;
}

function question() {
  const fields = new URLSearchParams({ units: system() });
  for (const control of form.querySelectorAll("[data-own]")) {
    const word = said(control);
    if (word !== "") fields.set(control.name, word);
  }
  return "answer?" + fields;
}

async function reply(address) {
  try {
    const got = await fetch(address, { cache: "no-store" });
    return got.headers.get("Content-Type").startsWith("application/json") ? await got.json()
      : { problem: (await got.text()).trim(), control: "" };
  } catch (error) {
    return { problem: "The program behind this page has ended: start heatcalc page again.", control: "" };
  }
}

async function ask() {
  if (busy) { waiting = true; return; }
  busy = true;
  for (const id of ["result", "rest"]) at(id).setAttribute("aria-busy", "true");
  const answer = await reply(question());
  show(answer);
  busy = false;
  if (waiting) { waiting = false; ask(); return; }
  at("result").setAttribute("aria-busy", "false");
  at("result").dataset.seconds = ((performance.now() - since) / 1000).toFixed(3);
  if (!answer.problem) later = setTimeout(follows, STILL_MS);
}

async function follows() {
  busy = true;
  const answer = await reply(question() + "&part=rest");
  busy = false;
  if (waiting) { waiting = false; ask(); return; }
  if (answer.problem) { at("problem").textContent = answer.problem; return; }
  at("rest").innerHTML = answer.rest;   // made and escaped by heatcalc
  at("rest").setAttribute("aria-busy", "false");
}

function show(answer) {
  at("problem").textContent = answer.problem || "";
  for (const control of form.querySelectorAll("[data-own]"))
    control.setAttribute("aria-invalid", String(control.id === answer.control));
  if (answer.problem) { at("brief").textContent = answer.problem; return; }
  for (const id of ["verdict", "held", "heading"]) at(id).textContent = answer[id];
  at("brief").textContent = answer.verdict;
  at("box").classList.toggle("short", !answer.good);
  at("first").innerHTML = answer.first;   // made and escaped by heatcalc
  for (const [name, value] of Object.entries(answer.in_use)) follow(at(name), value);
}

// A control that was not touched shows what the chosen package says.
function follow(control, value) {
  if (!control || control.value !== control.dataset.own) return;
  control.value = control.dataset.own = value;
}

function converted(text, to) {
  if (text === "" || isNaN(text)) return text;
  return String(Math.round(10 * (to === "si" ? (text - 32) / 1.8 : text * 1.8 + 32)) / 10);
}

function changed(event) {
  since = performance.now();
  clearTimeout(later);
  if (event && event.target.name === "units") {
    for (const box of form.querySelectorAll(".warmth")) {
      box.dataset.own = converted(box.dataset.own, system());
      box.value = converted(box.value, system());
    }
    for (const sign of form.querySelectorAll(".degree")) sign.textContent = system() === "ip" ? "°F" : "°C";
  }
  ask();
}

form.addEventListener("change", changed);
form.addEventListener("submit", (event) => event.preventDefault());
changed();
