// The seam between a step and the finished cloth. The slider lies over the whole picture, so that mouse, finger
// and keys all pull the same thing.
export function pull(table) {
  const slider = table.querySelector(".pull");
  const after = table.querySelector(".cap.left")?.textContent ?? "";
  slider.hidden = false;
  const set = () => {
    table.style.setProperty("--seam", `${slider.value}%`);
    slider.setAttribute("aria-valuetext", `${slider.value} % ${after}`);
  };
  slider.addEventListener("input", set);
  set();
}
