"use strict";
(() => {
  const boxes = [...document.querySelectorAll("#filter input")];
  const rows = [...document.querySelectorAll("#programs tbody tr")];
  const apply = () => {
    const on = new Set(boxes.filter((b) => b.checked).map((b) => b.value));
    let n = 0;
    for (const row of rows) {
      row.hidden = !on.has(row.dataset.verdict);
      if (!row.hidden) n++;
    }
    document.getElementById("shown").textContent = n + " shown";
  };
  for (const b of boxes) b.addEventListener("change", apply);
  apply();
})();
