"use strict";
/* Holding, filtering, sorting; the state stands in the address, so that a link or a reload keeps it. */
const R = {data: JSON.parse(document.getElementById("data").textContent), listeners: []};
(() => {
  const all = (q, at = document) => Array.from(at.querySelectorAll(q));
  const byId = (id) => document.getElementById(id);
  const {aims, drives, order, olds} = R.data;
  const MOST = 6, LETTERS = "ABCDEF";
  const PLACES = [13, 21, 31, 43, 57, 72].flatMap((r) => [[r, 0], [-r, 0], [0, -r], [0, r], [r, -r], [-r, -r], [r, r], [-r, r]]);
  R.all = all;
  R.byId = byId;
  document.documentElement.classList.add("scripted");

  /* --- state in the address */
  function read() {
    const got = new URLSearchParams(location.hash.slice(1));
    const held = got.has("hold") ? got.get("hold").split("|").filter((n) => n in drives) : R.data.held;
    const families = got.has("show") ? got.get("show").split(",") : ["levers", "winder", "differential"];
    const ranges = {};
    for (const a of aims) {
      const [low, high] = (got.get("f." + a.name) || ":").split(":");
      ranges[a.name] = {low: number(low), high: number(high)};
    }
    return {held: held.slice(0, MOST), families, ranges, drive: got.get("drive"), grip: got.get("grip"), stop: got.get("stop")};
  }
  function number(text) { return text === "" || text === undefined || !isFinite(Number(text)) ? null : Number(text); }
  const state = R.state = read();
  R.save = () => {
    const put = new URLSearchParams();
    put.set("hold", state.held.join("|"));
    if (state.families.length < 3) put.set("show", state.families.join(","));
    for (const a of aims) {
      const r = state.ranges[a.name];
      if (r.low !== null || r.high !== null) put.set("f." + a.name, (r.low ?? "") + ":" + (r.high ?? ""));
    }
    for (const key of ["drive", "grip", "stop"]) if (state[key] !== null && state[key] !== undefined) put.set(key, state[key]);
    history.replaceState(null, "", "#" + put);
  };
  R.passes = (name) => {
    const d = drives[name];
    if (d.kind !== "keeper") return true;
    if (!state.families.includes(d.family)) return false;
    return aims.every((a) => {
      const r = state.ranges[a.name], v = d.aims[a.name];
      if (v === null || v === undefined) return a.more || r.high === null;
      return (r.low === null || v >= r.low) && (r.high === null || v <= r.high);
    });
  };

  /* --- showing it */
  const letter = (name) => LETTERS[state.held.indexOf(name)] || "";
  R.letter = letter;
  function show() {
    for (const b of all("[data-hold]")) {
      const l = letter(b.dataset.hold);
      b.setAttribute("aria-pressed", String(l !== ""));
      if (l) b.dataset.letter = l; else delete b.dataset.letter;
    }
    for (const m of all(".mark[data-drive]")) {
      const name = m.dataset.drive, held = letter(name) !== "";
      m.classList.toggle("held", held);
      m.classList.toggle("out", !R.passes(name) && !held);
      m.setAttribute("aria-pressed", String(held));
    }
    for (const run of all(".run")) {
      const at = state.held.indexOf(run.dataset.drive);
      run.setAttribute("class", at < 0 ? "run" : "run held h" + at);
    }
    for (const row of all("#keepers tbody tr")) row.hidden = !R.passes(row.dataset.drive);
    letters();
    count();
    beside();
    for (const tell of R.listeners) tell();
  }
  R.show = show;
  function letters() {
    for (const old of all(".letter")) old.remove();
    for (const fig of all("svg.strip, svg.pair")) {
      const box = fig.viewBox.baseVal, taken = all("text", fig).map((t) => t.getBBox());
      const free = (x, y) => x > 8 && x < box.width - 8 && y > 8 && y < box.height - 8 &&
        !taken.some((t) => Math.abs(x - t.x - t.width / 2) < 7 + t.width / 2 && Math.abs(y - t.y - t.height / 2) < 7 + t.height / 2);
      for (const m of all(".mark.held", fig)) {
        const at = m.getBBox(), cx = at.x + at.width / 2, cy = at.y + at.height / 2;
        const spot = PLACES.map(([u, v]) => [cx + u, cy + v]).find(([x, y]) => free(x, y));
        if (!at.width || !spot) continue;
        const t = document.createElementNS("http://www.w3.org/2000/svg", "text");
        t.setAttribute("x", spot[0]);
        t.setAttribute("y", spot[1] + 4.5);
        t.setAttribute("text-anchor", "middle");
        t.setAttribute("class", "letter");
        t.setAttribute("aria-hidden", "true");
        t.textContent = letter(m.dataset.drive);
        fig.appendChild(t);
        taken.push(t.getBBox());
      }
    }
    const key = byId("linekey");
    const look = ["full line", "dashed", "dotted", "dash-dot", "thick", "thick dashed"];
    if (key) key.textContent = state.held.map((n, i) => LETTERS[i] + " " + n + " (" + look[i] + ")").join("; ");
  }
  function count() {
    const out = byId("count");
    if (!out) return;
    const left = order.filter(R.passes).length;
    const said = aims.flatMap((a) => {
      const r = state.ranges[a.name];
      return [r.low === null ? "" : a.short + " at least " + r.low, r.high === null ? "" : a.short + " at most " + r.high];
    }).filter(Boolean);
    if (state.families.length < 3) said.push("only " + (state.families.join(", ") || "no family"));
    out.textContent = left + " of " + order.length + " left" + (said.length ? ": " + said.join("; ") : "") + ". Held: " + (state.held.join(", ") || "none") + ".";
  }

  /* --- side by side */
  const value = (name, a) => drives[name].aims[a.name];
  function say(a, diff) {
    const size = Math.abs(a.percent ? diff * 100 : diff).toFixed(a.percent ? 0 : a.digits);
    const told = (diff > 0 ? "+" : "−") + size + " " + (a.percent ? "%" : a.unit);
    return a.unit === a.short ? told : a.short + " " + told;
  }
  function same(a, x, y) {
    if (x === y) return true;
    if (x === null || y === null || x === undefined || y === undefined) return false;
    const base = a.name === "pin_margin" ? 1 + Math.max(x, y) : Math.max(Math.abs(x), Math.abs(y));
    return Math.abs(x - y) <= a.doubt * base;
  }
  R.swap = (name, than) => {
    const parts = [], equal = [];
    for (const a of aims) {
      const x = value(name, a), y = value(than, a);
      if (same(a, x, y)) equal.push(a.short);
      else if (x === null || y === null || x === undefined || y === undefined) parts.push(a.short + " " + drives[name].text[a.name] + " against " + drives[than].text[a.name]);
      else parts.push(say(a, x - y));
    }
    return name + " instead of " + than + ": " + (parts.join(", ") || "nothing that the model can tell apart") + (equal.length ? "; no real difference in " + equal.join(", ") : "") + ".";
  };
  function beside() {
    const table = byId("besidetable");
    if (!table) return;
    const names = state.held;
    const head = table.tHead.rows[0], body = table.tBodies[0];
    head.replaceChildren(document.createElement("td"), ...names.map((n) => cell("th", letter(n) + " " + n, "num", "col")));
    const rows = aims.map((a) => {
      const values = names.map((n) => value(n, a)).filter((v) => v !== null && v !== undefined);
      const top = a.more ? Math.max(...values) : Math.min(...values);
      return line(a.head, names.map((n) => {
        const v = value(n, a), first = names.length > 1 && (v === top || (a.more && v === null));
        const near = v !== top && v !== null && same(a, v, top) ? " (no real difference)" : "";
        return {text: drives[n].text[a.name] + near, bold: first};
      }));
    });
    rows.push(line("made of", names.map((n) => ({text: drives[n].made}))));
    rows.push(line("pieces: own, make, buy", names.map((n) => ({text: drives[n].split || "–"}))));
    rows.push(line("gives first", names.map((n) => ({text: drives[n].first || "–"}))));
    body.replaceChildren(...rows);
    const swaps = byId("swaps");
    swaps.replaceChildren(...names.slice(1).map((n) => cell("li", R.swap(n, names[0]))));
    if (!names.length) swaps.replaceChildren(cell("li", "Hold drives to see them side by side."));
  }
  function cell(tag, text, cls, scope) {
    const e = document.createElement(tag);
    e.textContent = text;
    if (cls) e.className = cls;
    if (scope) e.scope = scope;
    return e;
  }
  R.cell = cell;
  function line(head, cells) {
    const tr = document.createElement("tr");
    tr.append(cell("th", head, "", "row"));
    for (const c of cells) {
      const td = cell("td", c.bold ? "" : c.text, "num");
      if (c.bold) td.append(cell("b", c.text));
      tr.append(td);
    }
    return tr;
  }

  /* --- acting */
  function hold(name) {
    const at = state.held.indexOf(name);
    if (at >= 0) state.held.splice(at, 1);
    else { state.held.push(name); if (state.held.length > MOST) state.held.shift(); }
    R.save();
    show();
  }
  document.addEventListener("click", (e) => {
    const b = e.target.closest("[data-hold], .mark[data-drive]");
    if (b) hold(b.dataset.hold || b.dataset.drive);
  });
  document.addEventListener("keydown", (e) => {
    if (e.key === "Escape" && !e.target.matches("input, select")) { state.held = []; R.save(); show(); }
  });
  R.rove = (fig, marks, act) => {
    marks.forEach((m, i) => {
      m.setAttribute("tabindex", i ? "-1" : "0");
      m.setAttribute("role", "button");
      const t = m.querySelector("title");
      if (t) m.setAttribute("aria-label", t.textContent);
      m.addEventListener("keydown", (e) => {
        const step = {ArrowRight: 1, ArrowUp: 1, ArrowLeft: -1, ArrowDown: -1}[e.key];
        if (step) {
          e.preventDefault();
          const next = marks[(i + step + marks.length) % marks.length];
          marks.forEach((o) => o.setAttribute("tabindex", o === next ? "0" : "-1"));
          next.focus();
        } else if (e.key === "Enter" || e.key === " ") { e.preventDefault(); act(m); }
      });
    });
  };
  for (const fig of all("svg.strip, svg.pair")) {
    const marks = all(".mark", fig).sort((a, b) => a.getAttribute("d").slice(1).split(" ")[0] - b.getAttribute("d").slice(1).split(" ")[0]);
    R.rove(fig, marks, (m) => hold(m.dataset.drive));
  }
  const filters = byId("filters");
  if (filters) {
    for (const box of all("[name=family]", filters)) box.checked = state.families.includes(box.value);
    for (const field of all("[data-aim]", filters)) field.value = state.ranges[field.dataset.aim][field.dataset.end] ?? "";
    filters.addEventListener("input", () => {
      state.families = all("[name=family]:checked", filters).map((b) => b.value);
      for (const field of all("[data-aim]", filters)) state.ranges[field.dataset.aim][field.dataset.end] = number(field.value);
      R.save();
      show();
    });
    filters.addEventListener("submit", (e) => e.preventDefault());
    byId("clear").addEventListener("click", () => {
      state.families = ["levers", "winder", "differential"];
      state.held = [];
      for (const a of aims) state.ranges[a.name] = {low: null, high: null};
      for (const box of all("[name=family]", filters)) box.checked = true;
      for (const field of all("[data-aim]", filters)) field.value = "";
      R.save();
      show();
    });
  }
  for (const th of all("#keepers [data-sort]")) {
    th.querySelector("button").addEventListener("click", () => {
      const a = aims[Number(th.dataset.sort)];
      const up = th.getAttribute("aria-sort") ? th.getAttribute("aria-sort") !== "ascending" : !a.more;
      for (const other of all("#keepers [data-sort]")) other.removeAttribute("aria-sort");
      th.setAttribute("aria-sort", up ? "ascending" : "descending");
      const body = byId("keepers").tBodies[0];
      const far = up ? 1 : -1;
      const at = (row) => value(row.dataset.drive, a) ?? Infinity;
      body.append(...Array.from(body.rows).sort((p, q) => far * (at(p) - at(q) || 0)));
    });
  }
  const pick = byId("pairpick");
  if (pick) {
    const choose = () => { for (const f of all("[data-pair]")) f.classList.toggle("chosen", f.dataset.pair === pick.value); letters(); };
    pick.addEventListener("change", choose);
    pick.value = pick.options[0].value;
    for (const f of all("[data-pair]")) f.classList.toggle("chosen", f.dataset.pair === pick.value);
  }
  addEventListener("hashchange", () => { Object.assign(state, read()); show(); });
  addEventListener("resize", letters);
  matchMedia("print").addEventListener("change", letters);
  show();
})();
