"use strict";
(() => {
  const d = JSON.parse(document.getElementById("data").textContent);
  const el = (id) => document.getElementById(id);
  const clock = (s) => {
    s = Math.round(s);
    const two = (n) => String(n).padStart(2, "0");
    return Math.floor(s / 3600) + ":" + two(Math.floor(s / 60) % 60) + ":" + two(s % 60);
  };
  const withUnit = (v, digits, unit) => (v === null || v === undefined ? "-" : v.toFixed(digits) + unit);
  const scrub = el("scrub"), plan = el("plan"), cursor = el("cursor"), hitArea = el("timeline-hit");
  const kerfs = [...plan.querySelectorAll(".kerf[data-time]")].map((g) => [Number(g.dataset.time), g]);
  const freed = [...plan.querySelectorAll(".freed")].map((g) => [Number(g.dataset.time), g]);
  const places = [...plan.querySelectorAll(".place")].map((g) => [Number(g.dataset.time), g]);
  const fields = [...plan.querySelectorAll(".field")].map((g) => [Number(g.dataset.time), g]);
  const tiny = d.span * 1e-9;
  let now = d.span;

  // The first sample at or after a moment: it speaks for the time up to it.
  const sampleAt = (t) => {
    let lo = 0, hi = (d.t || []).length - 1;
    while (lo < hi) {
      const mid = (lo + hi) >> 1;
      if (d.t[mid] < t - tiny) lo = mid + 1; else hi = mid;
    }
    return lo;
  };

  const show = (t) => {
    now = Math.max(0, Math.min(t, d.span));
    scrub.value = String(Math.round(now / d.span * 10000));
    cursor.style.left = (now / d.span * 100) + "%";
    el("r-time").textContent = clock(now);
    if (d.t && d.t.length) {
      const i = sampleAt(now);
      el("r-line").textContent = d.line[i];
      el("r-tool").textContent = d.tool[i];
      el("r-vac").textContent = withUnit(d.vac[i], 1, " " + d.vacUnit);
      el("r-leak").textContent = withUnit(d.leak[i], 1, " " + d.leakUnit);
      el("r-held").textContent = withUnit(d.held[i], 1, " " + d.heldUnit);
      el("r-freed").textContent = d.freed[i];
      const two = (m) => (m >= 1000 ? "over 1000" : (Math.floor(m * 100 + 1e-9) / 100).toFixed(2));
      el("r-margin").textContent = d.margin[i] === null ? "not loaded" :
        d.low[i] === d.high[i] ? two(d.margin[i]) : two(d.margin[i]) + " (" + two(d.low[i]) + " to " + two(d.high[i]) + ")";
      el("r-block").textContent = (d.block && d.block[d.line[i]]) || "\u00a0";
      scrub.setAttribute("aria-valuetext", clock(now) + ", line " + d.line[i] + ", vacuum " + el("r-vac").textContent + ", least margin " + el("r-margin").textContent);
    } else {
      scrub.setAttribute("aria-valuetext", clock(now));
    }
    for (const [at, g] of freed) g.classList.toggle("waiting", at > now + tiny);
    for (const [at, g] of kerfs) g.classList.toggle("later", at > now + tiny);
    for (const [at, g] of places) g.classList.toggle("later", at > now + tiny);
    let last = null;
    for (const [at, g] of fields) {
      g.classList.remove("now");
      if (at <= now + tiny || last === null) last = g;
    }
    if (last) last.classList.add("now");
    const state = now >= d.span - tiny ? "State at the end of the program." : "State at " + clock(now) + ".";
    el("plan-moment").textContent = last && plan.classList.contains("pressure") ?
      "Pressure as computed for " + clock(Number(last.dataset.time)) + ", outlines at " + clock(now) + "." : state;
    el("earlier").disabled = !d.risky.some((r) => r < now - tiny);
    el("later").disabled = !d.risky.some((r) => r > now + tiny);
  };

  const openEntry = (i, time) => {
    const s = el("entry-" + i);
    if (!s) return;
    s.open = true;
    show(time);
    s.scrollIntoView({block: "nearest"});
    s.querySelector("summary").focus({preventScroll: true});
  };

  // The end of the block before or after the one under way: the last sample of its line.
  const blockEnd = (way) => {
    if (!d.t || !d.t.length) return now;
    let i = sampleAt(now);
    const line = d.line[i];
    while (i + way >= 0 && i + way < d.t.length && d.line[i] === line) i += way;
    while (i + 1 < d.t.length && d.line[i + 1] === d.line[i]) i++;
    return d.t[i];
  };

  scrub.addEventListener("input", () => show(Number(scrub.value) / 10000 * d.span));
  scrub.addEventListener("keydown", (e) => {
    const way = {ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1}[e.key];
    if (!e.shiftKey || !way) return;
    e.preventDefault();
    show(blockEnd(way));
  });
  el("block-back").addEventListener("click", () => show(blockEnd(-1)));
  el("block-on").addEventListener("click", () => show(blockEnd(1)));
  el("start").addEventListener("click", () => show(0));
  el("end").addEventListener("click", () => show(d.span));
  el("earlier").addEventListener("click", () => show(Math.max(...d.risky.filter((r) => r < now - tiny))));
  el("later").addEventListener("click", () => show(Math.min(...d.risky.filter((r) => r > now + tiny))));

  const timeOf = (e) => {
    const box = hitArea.getBoundingClientRect();
    return (e.clientX - box.left) / box.width * d.span;
  };
  hitArea.addEventListener("pointerdown", (e) => show(timeOf(e)));
  hitArea.addEventListener("pointermove", (e) => { if (e.buttons & 1) show(timeOf(e)); });
  document.addEventListener("click", (e) => {
    const hit = e.target.closest("[data-entry]"), go = e.target.closest("[data-goto]");
    if (hit && Number(hit.dataset.entry) >= 0) {
      e.preventDefault();
      openEntry(hit.dataset.entry, Number(hit.dataset.time));
    } else if (go) {
      e.preventDefault();
      show(Number(go.dataset.goto));
    }
  });
  for (const s of document.querySelectorAll("details[data-time]")) {
    s.addEventListener("toggle", () => { if (s.open) show(Number(s.dataset.time)); });
  }

  const pressure = el("pressure");
  if (pressure) {
    pressure.addEventListener("change", () => {
      plan.classList.toggle("pressure", pressure.checked);
      el("pressure-key").hidden = !pressure.checked;
      show(now);
    });
  }

  // A print shows the end of the program, whatever the reader was looking at, and what was assumed.
  let before = null, closed = null;
  const assumed = document.querySelector("#assumed details");
  window.addEventListener("beforeprint", () => {
    before = now;
    show(d.span);
    if (assumed) { closed = !assumed.open; assumed.open = true; }
  });
  window.addEventListener("afterprint", () => {
    if (before !== null) show(before);
    if (assumed && closed) assumed.open = false;
    before = null;
  });

  for (const table of document.querySelectorAll("table.sortable")) {
    const body = table.tBodies[0];
    [...table.tHead.rows[0].cells].forEach((th, column) => {
      const button = document.createElement("button");
      button.type = "button";
      button.textContent = th.textContent;
      th.textContent = "";
      th.append(button);
      button.addEventListener("click", () => {
        const up = th.getAttribute("aria-sort") !== "ascending";
        for (const other of table.tHead.rows[0].cells) other.removeAttribute("aria-sort");
        th.setAttribute("aria-sort", up ? "ascending" : "descending");
        const value = (row) => {
          const cell = row.cells[column];
          if (th.dataset.type === "n") {
            const v = Number(cell.dataset.v);
            return Number.isNaN(v) ? -1 : v;
          }
          return cell.textContent;
        };
        const rows = [...body.rows].map((row) => [value(row), row]);
        rows.sort(([a], [b]) => (typeof a === "number" ? a - b : a.localeCompare(b, "en", {numeric: true})) * (up ? 1 : -1));
        body.append(...rows.map(([, row]) => row));
      });
    });
  }

  show(d.span);
})();
