"use strict";
// Shows what the events say. Everything is put in as text, never as markup.

const linkOld = 5000; // ms without an event after which nothing here is news

const sections = document.getElementById("sections");
const link = document.getElementById("link");
const template = document.getElementById("section");
let last = null; // performance.now() of the last event
let beat = false;

function set(root, selector, text) {
  const e = root.querySelector(selector);
  if (e.textContent !== text) e.textContent = text;
}

function span(s) {
  s = Math.max(0, Math.floor(s));
  const h = Math.floor(s / 3600), m = Math.floor(s / 60) % 60, two = (n) => String(n).padStart(2, "0");
  return h > 0 ? `${h}:${two(m)}:${two(s % 60)}` : `${m}:${two(s % 60)}`;
}

function left(s) {
  if (s.ended) return "recording has ended";
  if (s.phase === "waiting") return "waiting for a reading";
  if (s.phase === "filling") return "filling";
  return s.left_s > 0 ? span(s.left_s) + " left" : "set time over, still recording";
}

function show(report) {
  while (sections.children.length < report.sections.length) sections.append(template.content.cloneNode(true));
  report.sections.forEach((s, i) => showSection(sections.children[i], s));
  const first = report.sections[0];
  if (first) document.title = first.verdict + " " + first.reading;
}

function showSection(root, s) {
  root.className = s.verdict;
  root.dataset.age = s.age_s;
  root.dataset.stale = s.stale ? "yes" : "";
  root.dataset.lost = s.lost.join(", ");
  set(root, "h1", (s.section || "hold") + (s.simulated ? " (simulated)" : ""));
  set(root, ".verdict b", s.verdict.toUpperCase());
  set(root, ".verdict span", s.phrase);
  set(root, ".reading", s.reading || "no reading yet");
  set(root, ".left", left(s));
  set(root, ".reason", s.reasons[0] || "");
  draw(root.querySelector("svg"), s);
}

function draw(svg, s) {
  const c = s.chart;
  svg.style.display = svg.nextElementSibling.style.display = c ? "" : "none";
  if (!c) return;
  const start = (c.limit[0] || c.fit[0] || c.corrected[0])[1]; // where the fit says the hold began
  const tEnd = Math.max(c.end_s, c.corrected[c.corrected.length - 1][0]);
  const all = c.corrected.concat(c.fit, c.limit).map((p) => p[1]).concat(start);
  const hi = Math.max(...all), lo = Math.min(...all), pad = Math.max((hi - lo) * 0.08, 1);
  const x = (t) => 300 * t / tEnd;
  const y = (p) => 120 * (hi + pad - p) / (hi - lo + 2 * pad);
  const points = (line) => line.map((p) => x(p[0]).toFixed(1) + "," + y(p[1]).toFixed(1)).join(" ");
  const put = (selector, line) => svg.querySelector(selector).setAttribute("points", points(line));
  const none = [[0, start], [tEnd, start]];
  put(".none", none);
  put(".fit", c.fit);
  put(".limit", c.limit);
  put(".wedge", c.limit.length ? [none[0], none[1]].concat(c.limit.slice().reverse()) : []);
  const dots = svg.querySelector(".dots");
  dots.replaceChildren(...c.corrected.map((p) => {
    const d = document.createElementNS("http://www.w3.org/2000/svg", "circle");
    d.setAttribute("cx", x(p[0]).toFixed(1));
    d.setAttribute("cy", y(p[1]).toFixed(1));
    d.setAttribute("r", "1.2");
    return d;
  }));
  const zero = s.kind === "vacuum" ? 0 : s.pressure_pa_abs - s.pressure_pa_gauge;
  const digits = Math.min(5, Math.max(0, Math.ceil(-Math.log10((hi - lo + 2 * pad) / s.unit_pa)) + 1));
  const label = (p) => ((p - zero) / s.unit_pa).toFixed(digits) + " " + s.unit;
  set(svg, ".top", label(hi + pad));
  set(svg, ".bottom", label(lo - pad));
  set(svg, ".end", span(tEnd));
}

// tick ages what is shown, whether or not anything comes.
function tick() {
  const silent = last === null ? 0 : performance.now() - last;
  const gone = last !== null && silent > linkOld;
  document.body.classList.toggle("gone", gone);
  if (gone) link.textContent = "no connection for " + span(silent / 1000) + ": these figures are old";
  beat = !beat;
  for (const root of sections.children) {
    const age = Number(root.dataset.age) + silent / 1000;
    root.classList.toggle("stale", gone || root.dataset.stale === "yes");
    const lost = root.dataset.lost ? ", no answer from " + root.dataset.lost : "";
    set(root, ".age", "last reading " + span(age) + " ago" + lost);
    root.querySelector(".age").classList.toggle("beat", beat && !gone);
  }
}

const events = new EventSource("events");
events.onmessage = (e) => {
  show(JSON.parse(e.data));
  last = performance.now();
  link.textContent = "connected";
  tick();
};
setInterval(tick, 1000);
