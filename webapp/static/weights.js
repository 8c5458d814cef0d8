/* Shows a weight in the other unit while it is typed: kilograms, or pounds and stones. Only a help: what is sent is what
   was typed, and the server reads it. */
(function () {
  "use strict";
  var KG_LB = 0.45359237;

  function kilograms(text, unit) {
    var plain = text.trim().toLowerCase().replace(",", ".").replace("½", ".5").replace("¼", ".25").replace("¾", ".75");
    var stones = /^(\d{1,3}) ?(?:st|stones?) ?,? ?(\d{1,2}(?:\.\d+)?) ?(?:lbs?|pounds?)?$/.exec(plain);
    if (stones) { return (14 * stones[1] + Number(stones[2])) * KG_LB; }
    var found = /^(\d{1,4}(?:\.\d+)?) ?([a-z]*)$/.exec(plain);
    if (!found) { return NaN; }
    var typed = found[2] || unit, value = Number(found[1]);
    if (/^(kg|kgs|kilos?)$/.test(typed)) { return value; }
    if (/^(lb|lbs|pounds?)$/.test(typed)) { return value * KG_LB; }
    return /^(st|stones?)$/.test(typed) ? value * 14 * KG_LB : NaN;
  }

  function both(kg) {
    var lb = Math.round(kg / KG_LB), rest = lb % 14;
    return Math.round(kg * 2) / 2 + " kg = " + lb + " lb = " + (lb - rest) / 14 + " st " + rest;
  }

  document.querySelectorAll("input[data-weight]").forEach(function (input) {
    var told = document.createElement("span");
    told.className = "both-weights";
    input.closest(".entry").after(told);
    function show() {
      var chosen = document.querySelector('input[name="units.mass"]:checked');
      var kg = kilograms(input.value, chosen ? chosen.value : input.dataset.weight);
      told.textContent = kg > 0 && kg < 500 ? both(kg) : "";
    }
    input.addEventListener("input", show);
    document.querySelectorAll('input[name="units.mass"]').forEach(function (one) { one.addEventListener("change", show); });
    show();
  });
})();
