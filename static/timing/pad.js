// The pad beside a number: figures big enough for a thumb, in place of the device's own keyboard.
"use strict";
{
  function lay() {
    const pad = document.getElementById("pad");
    if (!pad) return;
    const made = document.getElementById("id_made");
    const count = document.getElementById("count-them");
    pad.hidden = false;
    document.getElementById("leave").hidden = true;
    made.inputMode = "none";

    function name() {
      count.textContent = /^[0-9]+$/.test(made.value) ? `${made.value} done` : "Count them";
    }

    pad.addEventListener("click", (event) => {
      const key = event.target.dataset.key;
      if (key === undefined) return;
      made.value = key === "" ? "" : (made.value + key).slice(0, 3);
      name();
    });
    made.addEventListener("input", name);
    name();
  }

  lay();
  document.addEventListener("kept", lay);
}
