"use strict";
/* The closing part: the plotting library starts when it is opened, and draws SVG only. */
(() => {
  const {all, byId, state} = R;
  const box = byId("dig"), source = byId("plotly");
  if (!box || !source) return;
  const aims = R.data.aims, drives = R.data.drives;
  const picks = ["digx", "digy", "digz"].map(byId), turn = byId("digturn");
  picks.forEach((p, k) => {
    p.replaceChildren(...aims.map((a, i) => { const o = R.cell("option", a.head); o.value = i; return o; }));
    p.value = Math.min(k, aims.length - 1);
  });
  const plain = (s) => s.replace(/&/g, "&amp;").replace(/</g, "&lt;").replace(/>/g, "&gt;");
  const css = (name) => getComputedStyle(document.documentElement).getPropertyValue(name).trim();
  const shape = {levers: "square", winder: "triangle-up", differential: "circle"};
  function traces() {
    const [x, y, z] = picks.map((p) => aims[Number(p.value)]);
    const angle = Number(turn.value) * Math.PI / 180, span = (a) => a.high - a.low || 1;
    const across = (d) => {
      if (!angle) return d.aims[x.name];
      const u = (d.aims[x.name] - x.low) / span(x), v = (d.aims[z.name] - z.low) / span(z);
      return u * Math.cos(angle) + v * Math.sin(angle);
    };
    const groups = new Map();
    for (const name of [...R.data.order, ...R.data.olds]) {
      const d = drives[name];
      if (!R.passes(name) || [x, y, z].some((a) => d.aims[a.name] === null || d.aims[a.name] === undefined)) continue;
      const key = d.kind === "build" ? "old builds" : d.family + (d.tag[1] === "C" ? ", chains" : ", bars");
      if (!groups.has(key)) groups.set(key, []);
      groups.get(key).push(name);
    }
    return [...groups].map(([key, names]) => {
      const d0 = drives[names[0]], old = d0.kind === "build";
      const colour = old ? css("--ink") : css("--" + d0.tag[0]);
      return {
        type: "scatter", mode: "markers+text", name: key,
        x: names.map((n) => across(drives[n])), y: names.map((n) => drives[n].aims[y.name]),
        text: names.map((n) => (R.letter(n) ? R.letter(n) : "")), textposition: "top center", textfont: {color: css("--ink")},
        hovertext: names.map((n) => plain(n) + "<br>" + aims.map((a) => plain(a.short + " " + drives[n].text[a.name])).join("<br>")),
        hoverinfo: "text",
        marker: {color: colour, size: 10, symbol: old ? "x-thin-open" : shape[d0.family] + (d0.tag[1] === "B" ? "-open" : ""), line: {color: colour, width: 1.6}},
      };
    });
  }
  function layout() {
    const [x, y, z] = picks.map((p) => aims[Number(p.value)]), a = Number(turn.value);
    const font = {color: css("--ink"), family: "Georgia, 'DejaVu Serif', serif"};
    const title = a === 0 ? x.head : a === 90 ? z.head + " (0 to 1 of its range)" : x.short + " turned " + a + "° toward " + z.short;
    const axis = {gridcolor: css("--faint"), zeroline: false, linecolor: css("--rule"), automargin: true};
    return {
      paper_bgcolor: css("--paper"), plot_bgcolor: css("--sheet"), font, margin: {t: 20, r: 10, l: 50, b: 50},
      xaxis: {...axis, title: {text: plain(title)}}, yaxis: {...axis, title: {text: plain(y.head)}},
      legend: {orientation: "h", y: -0.25}, hovermode: "closest", uirevision: picks.map((p) => p.value).join() + (a > 0),
    };
  }
  function draw() {
    if (!box.open || !window.Plotly) return;
    byId("digangle").textContent = turn.value + "°";
    window.Plotly.react("digplot", traces(), layout(), {
      responsive: true, displaylogo: false, modeBarButtonsToRemove: ["select2d", "lasso2d", "sendDataToCloud"],
      toImageButtonOptions: {format: "svg", filename: "front"},
    });
  }
  box.addEventListener("toggle", () => {
    if (box.open && !window.Plotly) {
      const s = document.createElement("script");
      s.textContent = source.textContent;
      document.head.append(s);
    }
    draw();
  });
  for (const p of [...picks, turn]) p.addEventListener("input", draw);
  R.listeners.push(draw);
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", draw);
})();
