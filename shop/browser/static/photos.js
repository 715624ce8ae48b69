/* A picture is made small on the phone before it is sent, and can be drawn on with a finger. */
"use strict";
(() => {
  const LONGEST = 1600, QUALITY = 0.8, STEP = 0.004, MOST_PLACES = 400, MOST_STROKES = 60;
  const SVG = "http://www.w3.org/2000/svg";

  async function smaller(file) {
    const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
    const share = Math.min(1, LONGEST / Math.max(picture.width, picture.height));
    const canvas = document.createElement("canvas");
    canvas.width = Math.round(picture.width * share);
    canvas.height = Math.round(picture.height * share);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", QUALITY));
    return blob && blob.size < file.size ? new File([blob], "picture.jpg", { type: "image/jpeg" }) : file;
  }

  function line(kind, stroke) {
    const found = document.createElementNS(SVG, "polyline");
    found.setAttribute("class", kind);
    found.setAttribute("points", stroke.map(([x, y]) => `${x},${y}`).join(" "));
    return found;
  }

  function drawing(form) {
    const box = form.querySelector("[data-draw-on]"), svg = box.querySelector("svg");
    const image = box.querySelector("img"), kept = form.querySelector("[data-strokes]");
    let strokes = [], now = null;
    const show = () => {
      svg.replaceChildren(...[...strokes, ...(now ? [now] : [])].flatMap((one) => [line("stroke-edge", one), line("stroke", one)]));
      kept.value = JSON.stringify(strokes);
    };
    const place = (event) => {
      const edge = svg.getBoundingClientRect();
      return [(event.clientX - edge.left) / edge.width, (event.clientY - edge.top) / edge.height]
        .map((share) => Math.round(Math.min(1, Math.max(0, share)) * 10000) / 10000);
    };
    svg.addEventListener("pointerdown", (event) => {
      if (strokes.length >= MOST_STROKES) return;
      svg.setPointerCapture(event.pointerId);
      now = [place(event)];
    });
    svg.addEventListener("pointermove", (event) => {
      if (!now || now.length >= MOST_PLACES) return;
      const [x, y] = place(event), [lastX, lastY] = now[now.length - 1];
      if (Math.hypot(x - lastX, y - lastY) > STEP) { now.push([x, y]); show(); }
    });
    const end = () => { if (now && now.length > 1) strokes.push(now); now = null; show(); };
    svg.addEventListener("pointerup", end);
    svg.addEventListener("pointercancel", end);
    box.querySelector("[data-undo]").addEventListener("click", () => { strokes.pop(); show(); });
    return (file) => {
      if (image.src) URL.revokeObjectURL(image.src);
      image.src = URL.createObjectURL(file);
      strokes = [];
      show();
      box.hidden = false;
    };
  }

  for (const input of document.querySelectorAll("input[data-picture]")) {
    const begin = drawing(input.form);
    input.addEventListener("change", async () => {
      const [file] = input.files;
      if (!file) return;
      let small = file;
      try { small = await smaller(file); } catch { /* what this phone can't read goes to the shop as it is */ }
      if (small !== file) {
        const bag = new DataTransfer();
        bag.items.add(small);
        input.files = bag.files;
      }
      begin(small);
    });
  }
})();
