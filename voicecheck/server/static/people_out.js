// After signing out: forget what was sent; what waits to be sent stays, and is said.
import { forgetSent } from "./mark_keep.js";
const told = document.getElementById("waiting");
const waiting = await forgetSent();
if (waiting > 0) {
  told.textContent = told.dataset.text.replace("{count}", String(waiting));
  told.hidden = false;
}
