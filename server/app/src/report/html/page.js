"use strict";
// Sorting and filtering of the overview, and formulas as typed. The page reads well without it.
(() => {
  const table = document.getElementById("arguments");
  const body = table.tBodies[0];
  const rows = Array.from(body.rows);
  const order = new Map(rows.map((row, index) => [row, index]));
  const heads = Array.from(table.tHead.rows[0].cells);
  const collator = new Intl.Collator("en", { numeric: true });

  const key = (row, column) => {
    const cell = row.cells[column];
    return cell.dataset.sort ?? cell.textContent.trim();
  };

  heads.forEach((head, column) => {
    head.querySelector("button").addEventListener("click", () => {
      const descending = head.getAttribute("aria-sort") === "ascending";
      heads.forEach((other) => other.setAttribute("aria-sort", "none"));
      head.setAttribute("aria-sort", descending ? "descending" : "ascending");
      const sign = descending ? -1 : 1;
      rows.sort((left, right) => {
        const [a, b] = [key(left, column), key(right, column)];
        // Empty cells stand last either way.
        if ((a === "") !== (b === "")) return a === "" ? 1 : -1;
        return sign * collator.compare(a, b) || order.get(left) - order.get(right);
      });
      body.append(...rows);
    });
  });

  const words = document.getElementById("words");
  const state = document.getElementById("state");
  const count = document.getElementById("count");
  const sections = new Map(
    Array.from(document.querySelectorAll("section.script")).map((one) => [one.id, one]),
  );
  const texts = new Map(rows.map((row) => [row, row.textContent.toLowerCase()]));

  const filter = () => {
    const wanted = words.value.toLowerCase().split(/\s+/).filter((word) => word !== "");
    const chosen = state.value;
    const scripts = new Set();
    let shown = 0;
    for (const row of rows) {
      const fits = wanted.every((word) => texts.get(row).includes(word));
      row.hidden = !(fits && (chosen === "" || chosen in row.dataset));
      if (!row.hidden) {
        shown += 1;
        scripts.add(row.dataset.script);
      }
    }
    for (const [id, section] of sections) section.hidden = !scripts.has(id);
    count.value = shown === rows.length ? "" : `${shown} of ${rows.length} rows`;
  };
  words.addEventListener("input", filter);
  state.addEventListener("change", filter);
  words.form.addEventListener("submit", (event) => event.preventDefault());

  // A link to a place in a script that the filter hides shows everything again.
  const reveal = () => {
    const target = document.getElementById(location.hash.slice(1));
    if (target?.closest("[hidden]")) {
      words.value = "";
      state.value = "";
      filter();
      target.scrollIntoView();
    }
  };
  addEventListener("hashchange", reveal);
  reveal();

  const sources = document.getElementById("sources");
  sources.addEventListener("click", () => {
    const typed = document.body.classList.toggle("as-typed");
    sources.setAttribute("aria-pressed", String(typed));
    for (const math of document.querySelectorAll(".math")) {
      let code = math.nextElementSibling;
      if (typed && !code?.classList.contains("tex-copy")) {
        code = document.createElement("code");
        code.className = "tex tex-copy";
        code.textContent = math.dataset.tex;
        math.after(code);
      }
      math.hidden = typed;
      if (code?.classList.contains("tex-copy")) code.hidden = !typed;
    }
  });
})();
