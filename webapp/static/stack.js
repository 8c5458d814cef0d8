/* Shows how far a stack of cards is without loading the page again. Without it the page loads itself every 5 s. */
(function () {
  "use strict";
  var wait = 2000;

  function look() {
    var stack = document.getElementById("stack");
    if (!stack || stack.getAttribute("data-waiting") !== "1" || !window.fetch) { return; }
    fetch(window.location.pathname, { credentials: "same-origin" }).then(function (answer) {
      if (!answer.ok || answer.redirected) { throw new Error("not now"); }
      return answer.text();
    }).then(function (text) {
      var fresh = new DOMParser().parseFromString(text, "text/html").getElementById("stack");
      if (!fresh) { return; }
      if (fresh.getAttribute("data-waiting") !== "1") { window.location.reload(); return; }
      ["h2", "[role=status]", "progress"].forEach(function (part) {
        var here = stack.querySelector(part), there = fresh.querySelector(part);
        if (part === "progress") { here.value = there.value; } else { here.textContent = there.textContent; }
      });
      window.setTimeout(look, wait);
    }).catch(function () { window.setTimeout(look, 3 * wait); });
  }

  window.setTimeout(look, wait);
}());
