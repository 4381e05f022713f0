// The page works without this script. It lets the minutes run, keeps taps while
// the connection is lost, guards against sleeves, and follows changes made
// elsewhere.
(function () {
  "use strict";
  var main = document.querySelector("main"), band = document.getElementById("kept");
  var seen = Number(document.body.dataset.seen || 0);
  var offset = Date.parse(document.body.dataset.clock) - Date.now() || 0; // the workshop's clock less this one
  var store = "bench-kept";

  function now() { return Date.now() + offset; }
  function kept() { try { return JSON.parse(localStorage.getItem(store) || "[]"); } catch (e) { return []; } }
  function keep(list) { try { localStorage.setItem(store, JSON.stringify(list)); return true; } catch (e) { return false; } }
  // Times are the workshop's, whatever zone the device is in.
  function zone() { var m = /([+-])(\d\d):(\d\d)$/.exec(document.body.dataset.clock || ""); return m ? (m[1] + "1") * (60 * m[2] + Number(m[3])) * 60000 : 0; }
  function clock(ms) { return new Date(ms + zone()).toISOString().slice(11, 16); }

  // --- minutes that run
  function tick() {
    var p = document.querySelector(".minutes");
    if (!p || p.dataset.away || !p.dataset.from) return;
    p.firstElementChild.textContent = Math.max(0, Math.floor((now() - Date.parse(p.dataset.from)) / 60000));
  }

  // --- the stepper
  document.addEventListener("click", function (e) {
    var b = e.target.closest("button[data-step]");
    if (!b) return;
    e.preventDefault();
    var i = b.form.elements.count, n = Math.max(0, (parseInt(i.value, 10) || 0) + Number(b.dataset.step));
    if (i.length) i = i[0];
    i.value = n;
    var shown = b.form.querySelector("[data-count]");
    if (shown) shown.textContent = n;
  });

  // --- a sleeve or a cloth is no tap: a press of 40 to 1500 ms that stays in place
  // with one finger
  var down = null, fingers = 0, second = 0;
  document.addEventListener("pointerdown", function (e) {
    if (e.pointerType === "mouse") { down = null; return; }
    fingers++;
    if (fingers > 1) second = Date.now();
    down = { t: Date.now(), x: e.clientX, y: e.clientY, ok: true };
  }, true);
  ["pointerup", "pointercancel"].forEach(function (name) {
    document.addEventListener(name, function (e) {
      if (e.pointerType === "mouse") return;
      fingers = Math.max(0, fingers - 1);
      if (!down) return;
      var held = Date.now() - down.t;
      down.ok = name === "pointerup" && held >= 40 && held <= 1500 && Math.hypot(e.clientX - down.x, e.clientY - down.y) < 16 && Date.now() - second > 300;
    }, true);
  });
  document.addEventListener("click", function (e) {
    if (down && !down.ok && e.target.closest("button") && e.detail !== 0) { e.preventDefault(); e.stopPropagation(); }
    down = null;
  }, true);

  // --- sending
  document.addEventListener("submit", function (e) {
    var form = e.target, by = e.submitter;
    if (form.method !== "post" || form.dataset.plain || !window.fetch) return;
    e.preventDefault();
    if (form.dataset.sent) return;
    form.dataset.sent = "1";
    var data = new URLSearchParams(new FormData(form));
    if (by && by.name) { if (by.name === "form") data.delete("form"); data.append(by.name, by.value); }
    var path = by && by.getAttribute("formaction") || form.getAttribute("action");
    if (kept().length) { // what was tapped before goes out before
      delete form.dataset.sent;
      queue({ path: path, body: data.toString(), at: now(), offset: offset });
      return flush();
    }
    var word = by && by.textContent;
    var slow = setTimeout(function () { if (by) { by.textContent = "sending ..."; by.classList.add("sending"); } }, 400);
    send({ path: path, body: data.toString(), at: now(), offset: offset }, 0).then(function (done) {
      clearTimeout(slow);
      delete form.dataset.sent;
      if (by && !done) { by.textContent = word; by.classList.remove("sending"); }
    });
  });

  // send gives true when an answer came. A busy file is asked three times.
  function send(tap, tries) {
    return fetch(tap.path, { method: "POST", body: tap.body, headers: { "Content-Type": "application/x-www-form-urlencoded", "Bench-Script": "1" }, credentials: "same-origin", redirect: "follow" }).then(function (r) {
      if ((r.status === 503 || r.status === 429) && tries < 3) {
        return new Promise(function (ok) { setTimeout(function () { ok(send(tap, tries + 1)); }, 3000); });
      }
      if (r.status === 429) return hold(tap);
      return r.text().then(function (html) { show(html, r.url); return true; });
    }, function () { return hold(tap); });
  }
  function hold(tap) { queue(tap); later(); return false; }
  function queue(tap) {
    var list = kept();
    list.push(tap);
    if (keep(list)) band_();
    else say("This device can keep no tap: " + words(tap));
  }

  function words(tap) {
    var p = new URLSearchParams(tap.body);
    return [tap.path.slice(1), p.get("operation"), p.get("necks"), p.get("count")].filter(Boolean).join(" ") + ", " + clock(tap.at);
  }
  function say(text) { band.hidden = false; var p = document.createElement("p"); p.textContent = text; band.appendChild(p); }
  function band_() {
    var list = kept();
    band.textContent = "";
    band.hidden = !list.length;
    list.forEach(function (t, i) {
      if (!t.refused) return say("not sent yet: " + words(t));
      var d = document.createElement("div"), p = document.createElement("p");
      d.className = "no";
      p.textContent = words(t) + ": " + t.refused;
      d.appendChild(p);
      function again(change) { var l = kept(); change(l); keep(l); band_(); flush(); }
      function sure(l, at) { l[i].refused = ""; l[i].at = at; l[i].offset = offset; }
      var ways = [["log it now", function (l) { sure(l, now()); }], ["drop it", function (l) { l.splice(i, 1); }]];
      if (t.doubt) ways.unshift(["it was " + clock(t.at), function (l) { sure(l, t.at); }]);
      // It was ended elsewhere meanwhile: its end can be set to the tap.
      if (t.end) ways.unshift(["set its end to " + clock(t.at) + (t.end.count ? " with " + t.end.count : ""), function (l) {
        l[i] = { path: t.end.path, body: new URLSearchParams({ form: t.end.form, to: new Date(t.at).toISOString().slice(0, 19) + "Z", count: t.end.count, done: t.end.done }).toString(), at: t.at, offset: t.offset, settles: true };
      }]);
      ways.forEach(function (x) {
        var b = document.createElement("button");
        b.type = "button";
        b.textContent = x[0];
        b.addEventListener("click", function () { again(x[1]); });
        d.appendChild(b);
      });
      var other = document.createElement("label"), time = document.createElement("input");
      other.textContent = "or at ";
      time.type = "time";
      time.value = clock(t.at);
      time.addEventListener("change", function () {
        var hm = time.value.split(":"), at = new Date(t.at + zone());
        if (hm.length === 2) again(function (l) { sure(l, at.setUTCHours(hm[0], hm[1], 0, 0) - zone()); });
      });
      other.appendChild(time);
      d.appendChild(other);
      band.appendChild(d);
    });
  }

  // flush sends kept taps in order, one at a time. The first refusal stops it.
  var flushing = false;
  function flush() {
    var list = kept();
    if (flushing || !list.length || list[0].refused) return;
    if (Math.abs(list[0].offset - offset) > 60000) { // the time of the tap is asked about once
      list[0].refused = "the clock of this device and that of the workshop changed meanwhile";
      list[0].doubt = true;
      keep(list);
      return band_();
    }
    flushing = true;
    var t = list[0], body = new URLSearchParams(t.body);
    if (!t.settles) body.set("at", new Date(t.at).toISOString());
    fetch(t.path, { method: "POST", body: body.toString(), headers: { "Content-Type": "application/x-www-form-urlencoded", "Bench-Script": "1" }, credentials: "same-origin" }).then(function (r) {
      return r.text().then(function (html) {
        flushing = false;
        if (r.ok) { list = kept(); list.shift(); keep(list); band_(); if (!writing()) show(html, r.url); return flush(); }
        if (r.status === 503 || r.status === 429) return later();
        var doc = new DOMParser().parseFromString(html, "text/html"), no = doc.querySelector(".no");
        var end = doc.querySelector('form[action$="/end"]');
        if (end && !t.settles) list[0].end = { path: end.getAttribute("action"), form: end.elements.form.value, count: body.get("count") || "", done: t.path === "/done" ? "yes" : "" };
        list[0].refused = no ? [].map.call(no.querySelectorAll("h1, p.large"), function (x) { return x.textContent; }).join(" ") : "refused, " + r.status;
        keep(list);
        band_();
      });
    }, function () { flushing = false; later(); });
  }

  // show puts the server's screen in the place of the old one.
  function show(html, url) {
    var doc = new DOMParser().parseFromString(html, "text/html");
    if (!doc.querySelector("main")) return say(doc.body.textContent);
    if (url) history.pushState(null, "", url);
    var oldForm = document.querySelector("form.bench"), newForm = doc.querySelector("form.bench");
    if (!url && oldForm && newForm && oldForm.elements.entry && newForm.elements.entry && oldForm.elements.entry.value === newForm.elements.entry.value) {
      var g = oldForm.querySelector("[name=grade]:checked"), c = oldForm.querySelector("input[name=count]");
      var k = oldForm.querySelector("[name=backing]:checked");
      [g, k].forEach(function (x) { var to = x && newForm.querySelector('[name="' + x.name + '"][value="' + x.value + '"]'); if (to) to.setAttribute("checked", ""); });
      if (c) {
        var i = newForm.querySelector("input[name=count]"), shown = newForm.querySelector("[data-count]");
        if (i) i.setAttribute("value", c.value);
        if (i && shown) shown.textContent = c.value;
      }
    }
    var had = !url && document.activeElement !== document.body && focused(document.activeElement);
    ["header", "main", "nav.tabs"].forEach(function (q) {
      var a = document.querySelector(q), b = doc.querySelector(q);
      if (a && b) a.replaceWith(document.adoptNode(b));
      else if (a && q === "header") a.remove();
      else if (b && q === "header") document.querySelector("main").before(document.adoptNode(b));
    });
    document.body.className = doc.body.className;
    document.title = doc.title;
    seen = Number(doc.body.dataset.seen || seen);
    document.body.dataset.clock = doc.body.dataset.clock; // its zone may have changed
    main = document.querySelector("main");
    if (url) { main.focus({ preventScroll: true }); scrollTo(0, 0); }
    else if (had && document.querySelector(had)) document.querySelector(had).focus({ preventScroll: true });
    shownAt = Date.now();
    tick();
    sliders();
  }
  // focused is where the focus is, in words that hold on the next screen too.
  function focused(x) {
    var q = x.tagName.toLowerCase();
    ["name", "value", "href", "formaction", "aria-label"].forEach(function (n) { if (x.getAttribute(n)) q += "[" + n + "=" + JSON.stringify(x.getAttribute(n)) + "]"; });
    return x.closest("main") && (q.indexOf("[") > 0 ? q : x.className ? q + "." + x.className.trim().split(/\s+/).join(".") : "");
  }
  // writing says that somebody fills something in that a new screen would wipe.
  function writing() { return document.querySelector("main form:not(.bench):not(.line) :focus, main textarea:focus"); }
  addEventListener("popstate", function () { location.reload(); });

  // --- following changes made elsewhere
  var wait = 2000, failed = 0, touched = Date.now(), timer = 0, shownAt = Date.now();
  ["pointerdown", "keydown"].forEach(function (n) { document.addEventListener(n, function () { touched = Date.now(); }); });
  function later() { clearTimeout(timer); timer = setTimeout(poll, failed ? Math.min(15000, 2000 << (failed - 1)) : Date.now() - touched > 600000 ? 15000 : wait); }
  function poll() {
    if (document.hidden) return later();
    fetch("/state?seen=" + seen, { credentials: "same-origin" }).then(function (r) {
      failed = 0;
      lost();
      offset = Date.parse(r.headers.get("Bench-Clock")) - Date.now() || offset;
      warnClock();
      if (r.status === 304 && (Date.now() - shownAt < 30000 || !document.querySelector("[data-clockwork]"))) { flush(); return later(); }
      if (r.status === 304) { flush(); return again(); } // its rules, cures and times move on
      if (!r.ok) return later();
      return r.json().then(function (s) {
        flush();
        if (s.journal !== seen) return again();
        later();
      });
    }, function () { failed++; lost(); later(); });
  }
  // lost says since when there is no connection. What runs and cures goes on.
  var since = 0;
  function lost() {
    since = failed ? since || now() : 0;
    line("lost", failed > 1 && "No connection since " + clock(since) + ". What runs and cures goes on.");
  }
  // line is a line above the screen, and none without words.
  function line(id, text) {
    var p = document.getElementById(id);
    if (!text) { if (p) p.remove(); return; }
    if (!p) { p = document.createElement("p"); p.id = id; p.className = "pad soft"; p.setAttribute("role", "status"); document.querySelector("main").before(p); }
    p.textContent = text;
  }
  // again shows the present screen anew, unless that would wipe something.
  function again() {
    if (writing() || down || document.querySelector("body.refused, [data-keep]")) return later();
    return fetch(location.href, { credentials: "same-origin" }).then(function (p) { return p.text(); }).then(function (html) { var y = scrollY; show(html, ""); scrollTo(0, y); later(); });
  }
  function warnClock() {
    line("clockdiff", Math.abs(offset) > 90000 && "This device is " + Math.round(Math.abs(offset) / 60000) + " min " + (offset < 0 ? "ahead" : "behind") + ". Times here are the workshop's.");
  }
  document.addEventListener("visibilitychange", function () { if (!document.hidden) poll(); });

  // --- sliders and posts that are pushed: the newest try wins, one at a time
  function sliders() {
    document.querySelectorAll("form[data-try]").forEach(function (f) {
      if (f.dataset.bound) return;
      f.dataset.bound = "1";
      var flying = false, again = false, from = f.getAttribute("action");
      function answers() { return document.querySelectorAll("[data-answer]"); }
      function ask(full) {
        if (flying) { again = true; return; }
        flying = true;
        var q = new URLSearchParams(new FormData(f));
        q.delete("form");
        if (from !== f.dataset.try) history.replaceState(null, "", from + "?" + q);
        if (!full) q.set("about", "1");
        fetch(f.dataset.try + "?" + q, { credentials: "same-origin" }).then(function (r) { return r.ok ? r.text() : Promise.reject(); }).then(function (html) {
          var doc = new DOMParser().parseFromString(html, "text/html");
          answers().forEach(function (to) {
            var by = doc.querySelector('[data-answer="' + to.dataset.answer + '"]');
            if (by) to.replaceWith(document.adoptNode(by));
          });
          flying = false;
          if (again) { again = false; ask(full); }
        }).catch(function () { flying = false; answers().forEach(function (to) { to.classList.add("unreached"); }); });
      }
      f.addEventListener("input", function (e) {
        var two = e.target.name && f.querySelectorAll('[name="' + e.target.name + '"], [data-same="' + e.target.name + '"]');
        if (e.target.dataset.same) f.elements[e.target.dataset.same].value = e.target.value;
        else two && two.forEach(function (x) { if (x !== e.target) x.value = e.target.value; });
        ask(false);
      });
      f.addEventListener("change", function () { ask(true); });
    });
  }
  // A nudge moves the post of the slider, as long as it stays on it.
  document.addEventListener("click", function (e) {
    var a = e.target.closest("a[data-by]"), i = document.querySelector(".slot input");
    if (!a || !i) return;
    var to = Math.round((Number(i.value) + Number(a.dataset.by)) * 1000) / 1000;
    if (to < Number(i.min) || to > Number(i.max)) return;
    e.preventDefault();
    i.value = to;
    i.dispatchEvent(new Event("input", { bubbles: true }));
  });

  setInterval(tick, 5000);
  tick();
  sliders();
  band_();
  later();
}());
