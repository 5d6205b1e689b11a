"use strict";
/* The drive in motion: outlines from the same numbers as the stills, pulls as line widths, loads of parts. */
(() => {
  const {all, byId, cell, state} = R;
  const stage = byId("drawing");
  if (!stage || !R.data.start) return;
  const motion = R.data.motion, NS = "http://www.w3.org/2000/svg";
  const slider = byId("stop"), drivePick = byId("drivepick"), gripPick = byId("grippick");
  const n2 = (x) => String(Math.round(x * 100) / 100);
  const force = (x) => (x === null || x === undefined ? "–" : Math.round(x) + " N");
  let drive = state.drive in motion ? state.drive : R.data.start;
  let part = null;

  const at = (column, s) => (Array.isArray(column) ? column[s] : column);
  function disc(x, y, r) {
    return "M" + n2(x - r) + " " + n2(y) + "a" + n2(r) + " " + n2(r) + " 0 1 0 " + n2(2 * r) + " 0a" + n2(r) + " " + n2(r) + " 0 1 0 " + n2(-2 * r) + " 0Z";
  }
  function outline(kind, v) {
    if (kind === "B") return "M" + n2(v[0]) + " " + n2(v[2]) + "H" + n2(v[1]) + "V" + n2(v[3]) + "H" + n2(v[0]) + "Z";
    if (kind === "S") {
      const [px, py, qx, qy, r] = v, l = Math.hypot(qx - px, qy - py);
      if (l < 1e-9) return disc(px, py, r);
      const nx = -(qy - py) / l * r, ny = (qx - px) / l * r, arc = "A" + n2(r) + " " + n2(r) + " 0 0 1 ";
      return "M" + n2(px - nx) + " " + n2(py - ny) + "L" + n2(qx - nx) + " " + n2(qy - ny) + arc + n2(qx + nx) + " " + n2(qy + ny) + "L" + n2(px + nx) + " " + n2(py + ny) + arc + n2(px - nx) + " " + n2(py - ny) + "Z";
    }
    const [cx, cy, hub, r, dir, half] = v;
    if (half >= Math.PI || hub >= r) return disc(cx, cy, Math.max(hub, r));
    const ax = Math.cos(dir - half), ay = Math.sin(dir - half), bx = Math.cos(dir + half), by = Math.sin(dir + half);
    return "M" + n2(cx + r * ax) + " " + n2(cy + r * ay) + "A" + n2(r) + " " + n2(r) + " 0 " + (half > Math.PI / 2 ? 1 : 0) + " 1 " + n2(cx + r * bx) + " " + n2(cy + r * by) +
      "L" + n2(cx + hub * bx) + " " + n2(cy + hub * by) + "A" + n2(hub) + " " + n2(hub) + " 0 " + (half < Math.PI / 2 ? 1 : 0) + " 1 " + n2(cx + hub * ax) + " " + n2(cy + hub * ay) + "Z";
  }

  function grip() { return motion[drive].grips[Number(gripPick.value) || 0]; }
  function keyOf(words, i) {
    /* the part of the load table that a piece belongs to: by its key, or by the beginning of it */
    const key = motion[drive].pieces[i].key, parts = motion[drive].parts;
    const find = (test) => parts.find(test)?.key;
    return find((p) => p.key === key) || find((p) => p.key.replace(/s$/, "") === key.replace(/s$/, "")) || find((p) => p.key.startsWith(key.replace(/ (plate|arm)$/, ""))) || null;
  }
  function build() {
    /* a picked drive's pieces take the place of the drawn ones; the ground stays */
    const m = motion[drive];
    for (const [v, view] of all("svg.view > g", stage).entries()) {
      for (const old of all(".piece, .pull", view)) old.remove();
      m.pieces.forEach((p, i) => {
        if (v === 0 && R.data.bends.includes(p.key)) return;
        const e = document.createElementNS(NS, v === 0 ? "path" : "rect");
        e.setAttribute("class", "piece w-" + p.what.replace(" ", "-"));
        e.dataset.i = i;
        const t = document.createElementNS(NS, "title");
        t.textContent = p.words;
        e.append(t);
        view.append(e);
      });
      for (const bar of m.bars) {
        const e = document.createElementNS(NS, "line");
        e.setAttribute("class", "pull");
        e.dataset.pull = bar.pull;
        view.append(e);
      }
    }
    const plan = all("svg.view > g", stage)[0];
    const taps = all(".piece", plan).filter((e) => keyOf("", Number(e.dataset.i)));
    for (const e of taps) e.classList.add("tap");
    R.rove(stage, taps, (e) => choose(keyOf("", Number(e.dataset.i))));
  }
  function place() {
    const m = motion[drive], g = grip(), stop = g.stops[Number(slider.value)], s = stop.s;
    const most = Math.max(...Object.values(g.bars)) || 1;
    for (const [v, view] of all("svg.view > g", stage).entries()) {
      for (const e of all(".piece", view)) {
        const p = m.pieces[Number(e.dataset.i)];
        if (v === 0) e.setAttribute("d", outline(p.k, p.p.map((c) => at(c, s))));
        else {
          const y0 = at(p.y[0], s), y1 = at(p.y[1], s);
          e.setAttribute("x", n2(p.z[0]));
          e.setAttribute("y", n2(y0));
          e.setAttribute("width", n2(p.z[1] - p.z[0]));
          e.setAttribute("height", n2(y1 - y0));
        }
      }
      all(".pull", view).forEach((e, k) => {
        const bar = m.bars[k], c = bar.p.map((x) => at(x, s));
        const ends = v === 0 ? c : [bar.z, c[1], bar.z, c[3]];
        ["x1", "y1", "x2", "y2"].forEach((name, j) => e.setAttribute(name, n2(ends[j])));
        e.setAttribute("stroke-width", n2(Math.max(R.data.thickest * stop.share * (g.bars[bar.pull] || 0) / most, R.data.thinnest)));
      });
    }
    byId("stoptext").textContent = stop.t;
    slider.setAttribute("aria-valuetext", stop.t);
    byId("near").textContent = stop.near || "nothing near";
    byId("touch").textContent = g.touch;
    const where = g.name + ", " + (stop.share > 0 ? force(stop.in) + " at the wrist" : "closing");
    byId("pullsat").textContent = where;
    byId("loadsat").textContent = where;
    byId("stagename").textContent = drive;
    const rows = [["wrist", stop.in], ["output of the ratio part", stop.out]];
    R.data.fingers.forEach((name, f) => rows.push([name + " strand, high side", stop.share > 0 ? g.bars["finger " + f] * stop.out : null]));
    byId("pulls").replaceChildren(...rows.map(([name, x]) => row(name, force(x))));
    loads(g, stop);
    all("#drawing .piece").forEach((e) => e.classList.toggle("picked", part !== null && keyOf("", Number(e.dataset.i)) === part));
  }
  function row(name, told) {
    const tr = document.createElement("tr");
    tr.append(cell("th", name, "", "row"), cell("td", told, "num"));
    return tr;
  }
  function loadOf(p, g, stop) {
    const full = p.loads[g.at];
    if (!stop.share || full === null || full === undefined) return "–";
    return Math.round(full * stop.share) + (p.unit === "N*mm" ? " N·mm" : " N");
  }
  function loads(g, stop) {
    const parts = [...motion[drive].parts].sort((a, b) => a.tight - b.tight);
    byId("loads").replaceChildren(...parts.map((p) => {
      const tr = row(p.part, loadOf(p, g, stop));
      tr.dataset.key = p.key;
      if (p.key === part) tr.className = "picked";
      tr.append(cell("td", p.way + ": " + p.margin));
      return tr;
    }));
    const box = byId("picked"), p = parts.find((x) => x.key === part);
    if (!p) { box.replaceChildren(cell("p", "No part is picked.", "small")); return; }
    const list = document.createElement("ul");
    list.append(...p.checks.map((c) => cell("li", c.way + ": " + c.text + ", " + c.margin + (c.at ? ", worst in " + c.at : "") + ". If it goes, " + c.left + ".")));
    box.replaceChildren(cell("b", p.part), cell("p", "Load now " + loadOf(p, g, stop) + ".", "small"), list);
  }
  function choose(key) { part = part === key ? null : key; place(); }

  function grips(keep) {
    gripPick.replaceChildren(...motion[drive].grips.map((g, i) => { const o = cell("option", g.name); o.value = i; return o; }));
    gripPick.value = keep < motion[drive].grips.length ? keep : 0;
    slider.max = grip().stops.length - 1;
  }
  function opened() {
    for (const d of all("details.ladder")) if (d.dataset.ladder === drive) d.open = true;
  }
  function save() { state.drive = drive; state.grip = gripPick.value; state.stop = slider.value; R.save(); }
  drivePick.addEventListener("change", () => { drive = drivePick.value; part = null; grips(Number(gripPick.value)); build(); place(); opened(); save(); });
  gripPick.addEventListener("change", () => { slider.max = grip().stops.length - 1; place(); save(); });
  slider.addEventListener("input", () => { place(); save(); });
  slider.addEventListener("keydown", (e) => {
    const step = {PageUp: 5, PageDown: -5}[e.key];
    if (!step) return;
    e.preventDefault();
    slider.value = Number(slider.value) + step;
    place();
    save();
  });
  stage.addEventListener("click", (e) => {
    const p = e.target.closest(".piece");
    const key = p && keyOf("", Number(p.dataset.i));
    if (key) choose(key);
  });
  byId("loads").addEventListener("click", (e) => { const tr = e.target.closest("tr"); if (tr) choose(tr.dataset.key); });

  drivePick.value = drive;
  grips(Number(state.grip) || 0);
  slider.value = state.stop === null || state.stop === undefined ? slider.max : state.stop;
  build();
  place();
})();
