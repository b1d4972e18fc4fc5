// What the pages do in the browser alone: the visitor's view, and handing a text on.
"use strict";
window.nextpass = {
  // Puts one word of the view (language, pressure, reference, speed, theme) and shows the page anew.
  view(place, word) {
    const words = document.documentElement.dataset.view.split(".");
    words[place] = word;
    document.cookie = `nextpass-view=${words.join(".")}; path=/; max-age=31536000; samesite=strict`;
    location.reload();
  },
  // Hands a text to the phone's own way of sending, or to the clipboard where there is none.
  async send(text, done) {
    if (navigator.share) {
      await navigator.share({ text }).catch(() => {});
      return;
    }
    const area = document.createElement("textarea");
    area.value = text;
    document.body.append(area);
    area.select();
    document.execCommand("copy");
    area.remove();
    document.querySelectorAll(done).forEach((place) => (place.hidden = false));
  },
  // Sends dropped logs one after the other, each with its progress, and tells the page of each that arrived.
  async drop(input) {
    const place = input.closest(".sheet").querySelector(".drop-progress");
    for (const file of input.files) {
      const line = document.createElement("div");
      line.className = "working";
      line.innerHTML = "<span></span><progress max=1 value=0></progress>";
      line.firstChild.textContent = file.name;
      line.lastChild.setAttribute("aria-label", file.name);
      place.append(line);
      try {
        const answer = await this.sendFile(input.dataset.address, file, (done) => (line.lastChild.value = done));
        const time = new Date(file.lastModified - new Date().getTimezoneOffset() * 60000);
        emitEvent("nextpass-dropped", { dropped: answer.dropped, started: time.toISOString().slice(0, 16) });
        line.remove();
      } catch (refusal) {
        line.className = "message message-bad";
        line.textContent = `${file.name}: ${refusal.message}`;
      }
    }
    input.value = "";
  },
  // Reads a small text file and hands it to the page; the beginning of a larger one is enough to refuse it.
  async readText(input, most) {
    const [file] = input.files;
    if (file) emitEvent("nextpass-file", await file.slice(0, most).text());
    input.value = "";
  },
  sendFile(address, file, onProgress) {
    return new Promise((resolve, reject) => {
      const request = new XMLHttpRequest();
      // A refusal comes in the language of the page.
      const query = new URLSearchParams({ name: file.name, language: document.documentElement.lang });
      request.open("POST", `${address}?${query}`);
      request.upload.onprogress = (event) => onProgress(event.loaded / Math.max(event.total, 1));
      request.onerror = () => reject(new Error("–"));
      request.onload = () => {
        if (request.status === 201) return resolve(JSON.parse(request.responseText));
        let said = request.responseText;
        try {
          const refusal = JSON.parse(said);
          said = `${refusal.what}; ${refusal.remedy}`;
        } catch {
          // Not every refusal is an object: the gate answers in plain text.
        }
        reject(new Error(said));
      };
      request.send(file);
    });
  },
};
// Files may be dropped on the place as well as chosen.
for (const kind of ["dragover", "dragleave", "drop"]) {
  document.addEventListener(kind, (event) => {
    const place = event.target.closest?.(".drop");
    if (!place) return;
    event.preventDefault();
    place.classList.toggle("is-over", kind === "dragover");
    if (kind === "drop") {
      const input = place.querySelector("input");
      input.files = event.dataTransfer.files;
      nextpass.drop(input);
    }
  });
}
// What is folded out over the page folds away when something else is meant.
const fold = (except) => document.querySelectorAll("details.popover[open]").forEach((one) => (one.open = one === except));
document.addEventListener("click", (event) => fold(event.target.closest?.("details.popover")));
document.addEventListener("keydown", (event) => {
  const open = event.key === "Escape" && document.querySelector("details.popover[open]");
  if (!open) return;
  open.open = false;
  open.querySelector("summary").focus();
});
