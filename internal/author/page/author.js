// The page in which a case is made and changed. It holds the texts of the files; the server makes the form,
// the faults, the pictures and the marks from them and writes nothing but by Save.
"use strict";

const $ = (id) => document.getElementById(id);
const token = document.querySelector("meta[name=token]").content;
const typingPause = 350; // ms from the last key to what comes of it
const picturePause = 250;
const busyAfter = 300;    // ms after which it is said that a picture or the marks are on their way

const docs = new Map(); // by id: text, saved, base (digest on the disk), shown, past (texts before)
let begun = {};         // what the server said first
let current = "";       // id of the file in view
let view = null;        // the server's answer about it
let shape = "";         // of the form as it is built
const openGroups = new Map(); // whether a group is unfolded, by its path
const fullGroups = new Set(); // groups of which every key is shown

// el makes an element with properties and children.
function el(tag, properties = {}, ...children) {
	const node = document.createElement(tag);
	for (const [key, value] of Object.entries(properties)) {
		if (value === null || value === undefined || value === false) continue;
		if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
		else if (key in node && !key.includes("-")) node[key] = value;
		else node.setAttribute(key, value);
	}
	node.append(...children.filter((c) => c !== null && c !== undefined));
	return node;
}

function say(text) { $("said").textContent = text; }

// ask sends a request and returns the answer; a refusal is thrown with its text.
async function ask(path, body, signal) {
	const options = { headers: { "Tugback-Token": token }, signal };
	if (body !== undefined) Object.assign(options, { method: "POST", body: JSON.stringify(body) });
	let answer;
	try {
		answer = await fetch(path, options);
	} catch (fault) {
		if (fault.name === "AbortError") throw fault;
		throw new Error("The program does not answer; was it ended? What stands here is kept while this page is open.");
	}
	if (answer.ok) return answer.json();
	const text = await answer.text();
	let told = { error: text.trim() };
	try { told = JSON.parse(text); } catch { /* plain text */ }
	throw Object.assign(new Error(told.error), { status: answer.status, told });
}

const texts = () => Object.fromEntries([...docs].map(([id, d]) => [id, d.text]));
const caseDoc = () => docs.get(begun.file);
const dirty = (d) => d.text !== d.saved || d.fresh;
const key = (path) => path.map(encodeURIComponent).join("/");
const palette = () => matchMedia("(prefers-contrast: more)").matches ? "high-contrast" : matchMedia("(prefers-color-scheme: dark)").matches ? "night" : "light";

// --- looking: one request after the other, since each change builds on the text the last one made ---

let line = Promise.resolve();
let looks = 0;

function look(edit) {
	const turn = ++looks;
	line = line.then(() => lookNow(edit, turn)).catch((fault) => {
		say(fault.message);
		if (edit) render(true);
	});
	return line;
}

async function lookNow(edit, turn) {
	if (!edit && turn !== looks) return; // a later one looks at a later text
	const id = current, doc = docs.get(id), before = doc.text;
	const answer = await ask("/look", { texts: texts(), file: id, edit });
	if (id !== current || !edit && doc.text !== before) return;
	if (answer.text !== before) {
		doc.past.push(before);
		doc.text = answer.text;
		$("yaml").value = answer.text;
	}
	view = answer;
	await follow(answer.files);
	render();
	picture();
}

// change makes a change in the form and tells what came of it.
const change = (edit) => look(edit);

let typing = 0;
function typed() {
	const doc = docs.get(current);
	doc.past.push(doc.text);
	doc.text = $("yaml").value;
	states();
	clearTimeout(waiting); // what stands now is drawn when it was looked at
	pictures?.abort();
	clearTimeout(typing);
	typing = setTimeout(() => look(), typingPause);
}

// --- files ---

async function load(id) {
	const answer = await ask("/file?id=" + encodeURIComponent(id));
	docs.set(id, { text: answer.text, saved: answer.text, base: answer.digest, shown: answer.shown, fresh: answer.digest === "", past: [] });
}

// follow keeps the list of files and the watch in step with the files that the case uses.
let followed = "";
async function follow(uses) {
	const ids = [begun.file, ...(begun.plan ? ["plan:"] : []), ...uses];
	if (ids.join("\n") === followed) return;
	followed = ids.join("\n");
	$("doc").replaceChildren(...ids.map((id) => el("option", { value: id }, id === "plan:" ? "Plan: " + begun.plan : id)));
	$("doc").value = current;
	watch(ids);
}

async function show(id) {
	try {
		if (!docs.has(id)) await load(id);
	} catch (fault) {
		say(fault.message);
		$("doc").value = current;
		return;
	}
	current = id;
	view = null;
	shape = "";
	$("yaml").value = docs.get(id).text;
	$("doc").value = id;
	await look();
}

let events = null;
function watch(ids) {
	events?.close();
	events = new EventSource("/watch?token=" + token + ids.map((id) => "&id=" + encodeURIComponent(id)).join(""));
	let first = true;
	events.addEventListener("disk", async (event) => {
		const disk = JSON.parse(event.data);
		for (const id of ids) {
			const doc = docs.get(id);
			if (!doc) {
				if (!first) look(); // a used file that is not in view
				continue;
			}
			if (disk[id] === undefined) {
				if (doc.base !== "") { doc.base = ""; doc.fresh = true; say(doc.shown + " is gone from the disk; Save writes it anew."); }
			} else if (disk[id] !== doc.base) await changed(id, doc);
		}
		first = false;
		states();
	});
}

// changed takes a file over that another program has written, or shows both when it was changed here too.
async function changed(id, doc) {
	const answer = await ask("/file?id=" + encodeURIComponent(id)).catch(() => null);
	if (!answer || answer.digest === doc.base) return;
	if (answer.text === doc.text || !dirty(doc)) {
		const same = answer.text === doc.text;
		if (!same) doc.past.push(doc.text);
		Object.assign(doc, { text: answer.text, saved: answer.text, base: answer.digest, fresh: false });
		if (same) return;
		if (id === current) $("yaml").value = doc.text;
		say(doc.shown + " was changed by another program and is shown as it stands now.");
		look();
		return;
	}
	both(doc, answer);
}

async function save() {
	const doc = docs.get(current);
	if (!doc || $("both").open) return;
	await settle();
	const text = doc.text;
	try {
		const answer = await ask("/save", { File: current, Base: doc.base, Text: text });
		Object.assign(doc, { base: answer.digest, saved: text, fresh: false });
		const faults = view?.counts[doc.shown] ?? 0;
		say("Saved in " + doc.shown + (faults ? `; it has ${faults} ${faults === 1 ? "fault" : "faults"} still.` : "."));
	} catch (fault) {
		if (fault.status === 409) both(doc, fault.told);
		else say("Not saved: " + fault.message);
	}
	states();
}

// settle sends what was typed last and waits for all answers.
async function settle() {
	if (document.activeElement?.dataset?.path) commit(document.activeElement);
	clearTimeout(typing);
	let last;
	do { last = line; await last; } while (last !== line);
}

// both shows the text of the page and that of the disk.
function both(doc, disk) {
	if ($("both").open) return;
	const [mine, theirs] = differences(doc.text.split("\n"), disk.text.split("\n"));
	$("mine").replaceChildren(...mine);
	$("theirs").replaceChildren(...theirs);
	$("keep").onclick = () => { doc.base = disk.digest; doc.fresh = disk.digest === ""; done("This page's text is kept; Save writes it over the other."); };
	$("take").onclick = () => {
		doc.past.push(doc.text);
		Object.assign(doc, { text: disk.text, saved: disk.text, base: disk.digest, fresh: false });
		if (docs.get(current) === doc) $("yaml").value = doc.text;
		done("The disk's text is taken; Undo brings this page's back.");
		look();
	};
	$("later").onclick = () => done("Nothing was written.");
	const done = (text) => { $("both").close(); say(text); states(); };
	$("both").showModal();
	for (const list of [$("mine"), $("theirs")]) {
		const first = list.querySelector("mark");
		if (first) list.scrollTop = first.offsetTop - list.offsetTop - list.clientHeight / 3;
	}
}

// differences marks the lines of two texts that the other does not have in their order.
function differences(a, b) {
	const longest = Array.from({ length: a.length + 1 }, () => new Uint16Array(b.length + 1));
	for (let i = a.length - 1; i >= 0; i--)
		for (let j = b.length - 1; j >= 0; j--)
			longest[i][j] = a[i] === b[j] ? longest[i + 1][j + 1] + 1 : Math.max(longest[i + 1][j], longest[i][j + 1]);
	const mine = [], theirs = [];
	const put = (list, sign, text) => list.push(sign === " " ? "  " + text + "\n" : el("mark", {}, sign + " " + text + "\n"));
	let i = 0, j = 0;
	while (i < a.length || j < b.length) {
		if (i < a.length && j < b.length && a[i] === b[j]) { put(mine, " ", a[i++]); put(theirs, " ", b[j++]); }
		else if (j >= b.length || i < a.length && longest[i + 1][j] >= longest[i][j + 1]) put(mine, "−", a[i++]);
		else put(theirs, "+", b[j++]);
	}
	return [mine, theirs];
}

function undo() {
	const doc = docs.get(current);
	if (!doc?.past.length) return;
	doc.text = doc.past.pop();
	$("yaml").value = doc.text;
	say("The last change is undone.");
	look();
}

function states() {
	const doc = docs.get(current);
	if (!doc) return;
	$("name").textContent = current === begun.file ? current : doc.shown;
	document.title = (dirty(doc) ? "* " : "") + current;
	$("state").textContent = doc.fresh ? "new, not saved yet" : dirty(doc) ? "changed, not saved" : "saved";
	$("save").disabled = !dirty(doc);
	$("undo").disabled = doc.past.length === 0;
}

// --- the form ---

// Groups that are unfolded at first.
const unfolded = new Set(["", "tooth", "tooth/canals", "rules", "steps", "tray"]);
const spareFrom = 6; // keys of a large group beyond this are shown on demand, unless they are given
const largeGroup = 9;

const scalarShapes = new Set(["text", "prose", "word", "quantity", "number"]);
let numbers = 0; // for ids of helps

function render(again) {
	states();
	gutter();
	const form = view?.form;
	$("fields").disabled = !form;
	showFaults();
	if (!form) return;
	lists(form.lists);
	const now = JSON.stringify(outline(form.fields)) + current;
	if (now !== shape || again) build(form, now);
	fill(form.fields);
}

// outline is what makes a form be built anew.
const outline = (fields) => fields?.map((f) => [key(f.path), f.shape, f.words?.length, f.from, f.add?.map((c) => c.name), f.rename?.names.join(" "), outline(f.fields)]);

function lists(all) {
	for (const [name, words] of Object.entries(all)) {
		const id = "list-" + name;
		const list = $(id) ?? $("lists").appendChild(el("datalist", { id }));
		if (list.childElementCount !== words.length || list.dataset.words !== words.join(" ")) {
			list.replaceChildren(...words.map((w) => el("option", { value: w })));
			list.dataset.words = words.join(" ");
		}
	}
}

function build(form, now) {
	const focused = document.activeElement?.id, scrolled = $("form").scrollTop;
	shape = now;
	numbers = 0;
	const single = form.fields.filter((f) => scalarShapes.has(f.shape) && f.key !== "format");
	const groups = form.fields.filter((f) => !scalarShapes.has(f.shape));
	const head = fold("", form.sort[0].toUpperCase() + form.sort.slice(1), "", single.map(control), false);
	$("fields").replaceChildren($("fields").firstElementChild, head, ...groups.map(control));
	$("form").scrollTop = scrolled;
	if (focused && $(focused)) $(focused).focus();
}

// fold is a group that can be folded.
function fold(path, title, about, children, sparing, ...tools) {
	const body = el("div", { className: "body" }, about ? el("p", { className: "about" }, about) : null, ...children);
	if (sparing && children.some((c) => c.classList.contains("spare"))) {
		const more = el("button", { type: "button", onclick: () => { fullGroups.add(path); body.classList.add("all"); more.remove(); } }, "Show all keys");
		if (fullGroups.has(path)) body.classList.add("all");
		else body.append(more);
	}
	if (tools.length) body.append(el("p", { className: "tools" }, ...tools));
	const node = el("details", { open: openGroups.get(path) ?? (unfolded.has(path) || /^tooth\/canals\/[^/]+$/.test(path) && children.some((c) => c.dataset.given)) }, el("summary", { id: "s-" + path }, title), body);
	node.addEventListener("toggle", () => openGroups.set(path, node.open));
	return node;
}

const heading = (f) => f.title || f.key;

// control makes what stands for a field.
function control(f) {
	const id = key(f.path);
	switch (f.shape) {
	case "group":
		return fold(id, heading(f), f.text, [renamer(f), ...group(f.fields)].filter(Boolean), true, ...tools(f));
	case "names":
		return fold(id, f.key, f.text, [...f.fields.map(control), adder(f)], false);
	case "list":
		return f.from === "instruments" ? tray(f, id) : fold(id, f.key, f.text + (f.allowed ? " (" + f.allowed + ")" : ""), [items(f), adder(f)], false);
	case "use":
		return used(f);
	case "unknown":
		return el("div", { className: "field unknown" }, el("p", {}, el("b", {}, f.key || "An item"), f.rename ? `: ${f.value} — this word is not known here.` : ` is ${f.value}: only the text can change it.`),
			renamer(f), notes(id), el("p", { className: "tools" }, ...tools(f, true)));
	}
	return scalar(f, id);
}

function group(fields) {
	const large = fields.length >= largeGroup;
	return fields.map((f, i) => {
		const node = control(f);
		if (large && i >= spareFrom && !f.given && !f.needed) node.classList.add("spare");
		if (f.given) node.dataset.given = "yes";
		return node;
	});
}

function items(f) {
	return el("ul", { className: "items", id: "i-" + key(f.path) }, ...f.fields.map((item) => el("li", {}, scalarShapes.has(item.shape)
		? el("div", {}, scalar({ ...item, key: f.key + " " + (Number(item.path.at(-1)) + 1), bare: true }, key(item.path)), el("p", { className: "tools" }, ...tools(item)))
		: control(item))));
}

// tools are the buttons of an item or a named group.
function tools(f, always) {
	const last = f.path.at(-1), item = /^\d+$/.test(last), named = f.path.length === 3 && f.path[1] === "canals" || f.path[0] === "texts" && f.path.length === 2;
	const called = heading(f) || f.value || last;
	const button = (text, edit) => el("button", { type: "button", id: "b-" + text + key(f.path), "aria-label": text + ": " + called, onclick: () => change({ path: f.path, ...edit }) }, text);
	const list = [];
	if (item) list.push(button("Up", { do: "move", by: -1 }), button("Down", { do: "move", by: 1 }));
	if (item || named || always) list.push(button("Remove", { do: "remove" }));
	return list;
}

// renamer offers other names for a word that is not known where it stands, the likely one by a button of its own.
function renamer(f) {
	const r = f.rename;
	if (!r) return null;
	const id = key(r.path), to = (name) => change({ do: "rename", path: r.path, text: name });
	const others = r.names.filter((n) => n !== r.likely), select = el("select", { id: "r-" + id }, ...others.map((n) => el("option", { value: n }, n)));
	return el("p", { className: "add" }, f.shape === "group" ? "This name is not known here." : null,
		r.likely ? el("button", { type: "button", className: "likely", id: "rl-" + id, onclick: () => to(r.likely) }, "Rename to " + r.likely) : null,
		...(others.length ? [el("label", {}, r.likely ? "or to " : "Rename to ", select), el("button", { type: "button", "aria-label": "Rename " + r.path.at(-1), onclick: () => to(select.value) }, "Rename")] : []));
}

// adder offers what can be added.
function adder(f) {
	const path = f.path, id = key(path);
	const add = (choice, text) => change({ do: "add", path, choice, text });
	if (f.shape === "names" && f.from) return el("p", { className: "add" }, ...f.add.map((c) => el("button", { type: "button", id: "a-" + id + c.name, onclick: () => add(c.name) }, "Add " + c.name)));
	if (f.shape === "names") {
		const name = el("input", { id: "n-" + id, size: 6 });
		return el("p", { className: "add" }, el("label", { htmlFor: name.id }, "Name "), name, el("button", { type: "button", onclick: () => add("", name.value) }, "Add"));
	}
	const choices = f.add ?? [];
	if (choices.length === 1 && !["text", "use"].includes(choices[0].name)) return el("p", { className: "add" }, el("button", { type: "button", id: "a-" + id, onclick: () => add(choices[0].name) }, "Add " + choices[0].text));
	const words = el("input", { id: "w-" + id }), files = el("select", { id: "u-" + id });
	const what = el("select", { id: "c-" + id }, ...choices.map((c) => el("option", { value: c.name }, c.text)));
	const caption = el("span"), label = el("label", {}, caption, words), known = begun[path.at(-1) === "tray" ? "trays" : "rules"] ?? [];
	files.append(...known.map((name) => el("option", { value: name }, name)), el("option", { value: "" }, "another file of this folder …"));
	if (known.includes("rules/formative.yaml")) files.value = "rules/formative.yaml"; // the gentlest
	const fileLabel = el("label", {}, "File ", files);
	const fit = () => {
		const use = what.value === "use";
		fileLabel.hidden = !use || known.length === 0;
		label.hidden = use ? !fileLabel.hidden && files.value !== "" : what.value !== "text";
		caption.textContent = use ? "Its name " : "Text ";
		words.placeholder = use ? path.at(-1) + "/mine.yaml" : "";
		if (!use && f.from) words.setAttribute("list", "list-" + f.from);
		else words.removeAttribute("list");
	};
	what.addEventListener("change", fit);
	files.addEventListener("change", fit);
	fit();
	const go = el("button", { type: "button", id: "a-" + id, onclick: () => {
		add(what.value, label.hidden ? (what.value === "use" ? files.value : "") : words.value);
		if (!label.hidden) { words.value = ""; words.focus(); }
	} }, "Add");
	words.addEventListener("keydown", (event) => { if (event.key === "Enter") { event.preventDefault(); go.click(); } });
	const all = f.shape === "list" && f.fields.length > 2 ? el("button", { type: "button", id: "x-" + id, onclick: () => change({ do: "remove", path }) }, `Remove all ${f.fields.length}`) : null;
	return el("div", { className: "add" }, choices.length > 1 ? el("label", {}, "Add ", what) : null, fileLabel, label, go, all);
}

// tray shows instruments to be ticked, by family.
function tray(f, id) {
	const chosen = f.fields.filter((i) => i.shape === "text").map((i) => i.value);
	const families = new Map(), called = new Map();
	view.form.lists.instruments.forEach((word, i) => {
		const family = word.slice(0, word.search(/-\d/));
		families.set(family, [...(families.get(family) ?? []), word]);
		if (!called.has(family)) called.set(family, view.form.lists["instrument-names"][i]);
	});
	const others = f.fields.filter((i) => i.shape !== "text" || !view.form.lists.instruments.includes(i.value));
	const tick = (words, on) => change({ do: on ? "tick" : "untick", path: f.path, words });
	const folds = [...families].map(([family, words]) => fold(id + "/" + family, family, called.get(family), [el("div", { className: "ticks" }, ...words.map((word) => {
		const box = el("input", { type: "checkbox", id: "t-" + word, checked: chosen.includes(word) });
		box.dataset.tick = word;
		box.addEventListener("change", () => tick([word], box.checked));
		return el("label", {}, box, " " + word.slice(family.length + 1));
	}))], false, ...[true, false].map((on) => el("button", { type: "button", "aria-label": (on ? "All: " : "None: ") + family, onclick: () => tick(words, on) }, on ? "All" : "None"))));
	return fold(id, f.key, f.text, [el("p", { id: "tray-said" }), others.length ? items({ ...f, fields: others }) : null, ...folds, adder({ ...f, add: f.add })].filter(Boolean), false);
}

// used is a file that stands in a list.
function used(f) {
	const full = view.used.find((u) => u.File === f.value || u.File.endsWith("/" + f.value));
	return el("div", { className: "field" }, el("b", {}, "uses " + f.value), full ? ` ${full.Rules} rules, ${full.Points} points` : "", notes(key(f.path)),
		el("p", { className: "tools" }, el("button", { type: "button", onclick: () => show(f.value) }, "Open " + f.value), ...tools(f)));
}

// notes is where faults of a field are told.
const notes = (id) => el("div", { id: "e-" + id, className: "notes" });

// scalar is a field of one value with its label, help and faults.
function scalar(f, id) {
	const input = f.shape === "word" ? el("select", {}) : f.shape === "prose" ? el("textarea", { rows: 3 }) : el("input", { autocomplete: "off" });
	input.id = "f-" + id;
	input.dataset.path = JSON.stringify(f.path);
	input.dataset.shape = f.shape;
	let words = null;
	if (f.words?.length && f.from) {
		words = el("datalist", { id: "l-" + id }, ...[...f.words, ...view.form.lists[f.from]].map((w) => el("option", { value: w })));
		input.setAttribute("list", words.id);
	} else if (f.from && f.from !== "expression" && f.shape !== "word") input.setAttribute("list", "list-" + f.from);
	const help = el("p", { className: "help", id: "h-" + numbers++ }, describe(f));
	input.setAttribute("aria-describedby", help.id + " e-" + id);
	if (f.needed) input.required = true;
	if (f.shape === "word") {
		options(input, f);
		input.addEventListener("change", () => commit(input));
	} else {
		let wait = 0;
		input.addEventListener("input", () => { clearTimeout(wait); wait = setTimeout(() => input.value.trim() && commit(input), typingPause); });
		input.addEventListener("change", () => { clearTimeout(wait); commit(input); });
	}
	input.addEventListener("focus", () => here(f.path));
	const meaning = f.key === "metric" ? el("p", { className: "help", id: "m-" + id }) : null;
	return el("div", { className: "field" }, el("label", { htmlFor: input.id }, f.key, f.needed ? el("i", {}, " needed") : ""), input, words, meaning, f.bare ? el("span", { id: help.id, hidden: true }) : help, notes(id));
}

// describe says what a field means, what may stand in it, and what holds when it is left out.
function describe(f) {
	const parts = [f.text];
	if (f.shape !== "word" && f.allowed && f.allowed !== "text") parts.push(f.allowed);
	if (f.default && !f.text.includes("left out")) parts.push("left out: " + f.default);
	if (f.norm) parts.push(f.norm);
	return parts.filter(Boolean).join("; ") + (f.example && f.shape === "text" ? ", such as " + f.example : "") + ".";
}

function options(select, f) {
	const words = [...f.words];
	if (f.value && !words.includes(f.value)) words.unshift(f.value);
	if (!f.needed || !f.value) words.unshift("");
	select.replaceChildren(...words.map((w) => el("option", { value: w }, w || "left out" + (f.default ? ": " + f.default : ""))));
}

// commit sends the value of a control, when it is another than stands in the file.
function commit(input) {
	const path = JSON.parse(input.dataset.path), f = field(view?.form?.fields, path);
	if (!f || f.value === input.value.trim()) return;
	f.value = input.value.trim();
	change({ do: "set", path, text: input.value.trim() });
}

function field(fields, path) {
	const wanted = key(path);
	for (const f of fields ?? []) {
		if (key(f.path) === wanted) return f;
		const inner = field(f.fields, path);
		if (inner) return inner;
	}
	return null;
}

// fill puts values and faults into the form as it is built.
function fill(fields) {
	const told = view.notices.filter((n) => n.path);
	const use = (f) => {
		const id = key(f.path), input = $("f-" + id);
		if (input && input.dataset.shape === "word") { options(input, f); input.value = f.value; }
		else if (input && input !== document.activeElement) input.value = f.value;
		input?.closest(".field").classList.toggle("spare", input.closest(".field").classList.contains("spare") && !f.given);
		const meaning = $("m-" + id);
		if (meaning) meaning.textContent = begun.metrics[f.value] ?? "";
		const title = $("s-" + id);
		if (title && heading(f)) summary(title, f, told);
		f.fields?.forEach(use);
	};
	fields.forEach(use);
	for (const place of document.querySelectorAll(".notes")) place.replaceChildren();
	for (const input of document.querySelectorAll("[aria-invalid]")) input.removeAttribute("aria-invalid");
	told.forEach(tell);
	const trayField = fields.find((f) => f.from === "instruments");
	if (trayField) ticks(trayField);
}

// summary writes the head of a group: what it is, and how much is wrong in it.
function summary(node, f, told) {
	const inside = told.filter((n) => !n.doubt && key(n.path).startsWith(key(f.path))).length;
	const given = f.shape === "list" || f.shape === "names" ? f.fields.length : f.fields?.filter((i) => i.given).length;
	const small = inside ? `${inside} ${inside === 1 ? "fault" : "faults"}` : given && f.path.length < 3 && !/^\d+$/.test(f.path.at(-1)) ? String(given) : "";
	node.replaceChildren(heading(f), " ", small ? el("small", {}, small) : "");
}

function ticks(f) {
	const chosen = new Set(f.fields.map((i) => i.value));
	for (const box of document.querySelectorAll("[data-tick]")) box.checked = chosen.has(box.dataset.tick);
	for (const family of document.querySelectorAll("#fields details:has(> .body > .ticks)")) {
		const title = family.firstElementChild, count = family.querySelectorAll("[data-tick]:checked").length;
		title.replaceChildren(title.firstChild, count ? el("small", {}, " " + count) : "");
	}
	if ($("tray-said")) $("tray-said").textContent = f.fields.length ? "Only what is ticked is on offer." : "Everything is on offer; the first tick makes a tray of what is ticked.";
}

// tell puts a fault at its field, or at the nearest thing around it that is shown.
function tell(n) {
	let path = n.path, place = null;
	for (; !place && path.length; path = path.slice(0, -1)) place = $("e-" + key(path));
	if (!place) return;
	const own = $(place.id.replace("e-", "f-"));
	if (own && !n.doubt) own.setAttribute("aria-invalid", "true");
	const note = el("p", { className: n.doubt ? "doubt" : "fault" }, n.message + " ");
	if (n.likely && own) note.append(el("button", { type: "button", className: "likely", onclick: () => change({ do: "set", path: n.path, text: n.likely }) }, "Use " + n.likely));
	place.append(note);
	for (let up = place.closest("details"); up; up = up.parentElement.closest("details")) if (!n.doubt) up.open = true;
	place.closest(".field")?.classList.remove("spare");
}

// showFaults lists every fault above the form, each with its line, and leads to the first from the head of the page.
function showFaults() {
	const all = view?.notices ?? [];
	const faults = all.filter((n) => !n.doubt).length, doubts = all.length - faults;
	$("wrong").hidden = faults === 0;
	$("wrong").textContent = `${faults} ${faults === 1 ? "fault" : "faults"}: show`;
	$("wrong").onclick = () => go(all.find((n) => !n.doubt));
	const count = (n, one, many) => n ? [`${n} ${n === 1 ? one : many}`] : [];
	if (!all.length) { $("faults").replaceChildren(el("p", { className: "help" }, "No fault.")); return; }
	const own = docs.get(current).shown;
	const open = $("faults").querySelector("details")?.open ?? faults > 0;
	$("faults").replaceChildren(el("details", { open }, el("summary", {}, [...count(faults, "fault", "faults"), ...count(doubts, "doubt", "doubts")].join(", ")), el("ul", {}, ...all.map((n) => el("li", {},
		n.file === own ? el("button", { type: "button", onclick: () => go(n) }, "Line " + n.line) : n.file + (n.line ? ":" + n.line : "") + ":", " " + (n.doubt ? "Doubtful: " : "") + n.message)))));
}

// go leads to where a fault is: its field, else its line.
function go(n) {
	const input = n.path && ($("f-" + key(n.path)) ?? $("rl-" + key(n.path)) ?? $("r-" + key(n.path)));
	if (input) { for (let up = input.closest("details"); up; up = up.parentElement.closest("details")) up.open = true; input.focus(); return; }
	pane("text");
	$("yaml").focus();
	const lines = $("yaml").value.split("\n"), at = lines.slice(0, n.line - 1).join("\n").length + (n.line > 1 ? 1 : 0);
	$("yaml").setSelectionRange(at, at + (lines[n.line - 1]?.length ?? 0));
	toLine(n.line);
}

// --- the text ---

function gutter() {
	const count = $("yaml").value.split("\n").length, own = docs.get(current)?.shown;
	const marks = new Map((view?.notices ?? []).filter((n) => n.file === own).reverse().map((n) => [n.line, n.doubt ? "unsure" : "bad"]));
	const list = $("lines");
	while (list.childElementCount > count) list.lastElementChild.remove();
	while (list.childElementCount < count) list.append(el("li", {}, String(list.childElementCount + 1)));
	[...list.children].forEach((li, i) => { li.className = marks.get(i + 1) ?? ""; });
	list.scrollTop = $("yaml").scrollTop;
}

// here shows in the text the line of a field.
function here(path) {
	const f = field(view?.form?.fields, path);
	for (const li of document.querySelectorAll("#lines .here")) li.classList.remove("here");
	if (!f?.line) return;
	$("lines").children[f.line - 1]?.classList.add("here");
	toLine(f.line);
}

function toLine(n) {
	const height = $("yaml").scrollHeight / Math.max(1, $("lines").childElementCount);
	const top = (n - 1) * height;
	if (top < $("yaml").scrollTop || top > $("yaml").scrollTop + $("yaml").clientHeight - 2 * height) $("yaml").scrollTop = top - $("yaml").clientHeight / 3;
}

// --- tooth, marks, gallery ---

let pictures = null, waiting = 0;

function picture() {
	clearTimeout(waiting);
	pictures?.abort(); // an answer on its way would put the seed back that it was asked with
	waiting = setTimeout(drawAll, picturePause);
}

async function drawAll() {
	pictures = new AbortController();
	const signal = pictures.signal;
	const body = { texts: texts(), seed: $("seed").value.trim(), palette: palette(), who: $("who").value, width: width("plate") };
	const own = view?.notices.filter((n) => !n.doubt && (body.who === "plan:" || n.file !== docs.get("plan:")?.shown)) ?? [];
	const one = async (path, extra, use) => {
		const stale = $(path).querySelector(".stale"), drawn = $(path).querySelector("img").getAttribute("src");
		const inTheWay = path === "marks" ? own : own.filter((n) => n.file !== docs.get("plan:")?.shown);
		if (inTheWay.length) {
			stale.hidden = false;
			stale.textContent = drawn ? "As it was before the faults." : "To be seen once no fault is left.";
			return;
		}
		const soon = setTimeout(() => { stale.hidden = false; stale.textContent = path === "marks" ? "The tooth is being treated …" : "Being drawn …"; }, busyAfter);
		signal.addEventListener("abort", () => clearTimeout(soon));
		try {
			const made = await ask("/" + path, { ...body, ...extra }, signal);
			clearTimeout(soon);
			if (signal.aborted) return;
			use(made);
			stale.hidden = true;
		} catch (fault) {
			clearTimeout(soon);
			if (fault.name === "AbortError") return;
			stale.hidden = false;
			stale.textContent = (drawn ? "As it was before: " : "") + fault.message;
		}
	};
	await one("tooth", {}, showTooth);
	if (signal.aborted) return;
	if (document.body.dataset.pane === "gallery") await one("gallery", { count: Number($("count").value) || 8, width: width("teeth") }, showGallery);
	else await one("marks", { width: width("treated") }, showMarks);
}

// width is how wide a picture is drawn on the page, px.
function width(id) {
	const img = $(id), room = img.parentElement.clientWidth || 600, least = id === "plate" ? innerHeight * 0.7 : Infinity;
	return Math.round(Math.min(room, least * (img.naturalWidth / img.naturalHeight || 1.2)));
}

function draw(id, svg, alt) {
	const img = $(id), old = img.src;
	img.src = svg ? URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" })) : "";
	img.alt = alt;
	img.hidden = !svg;
	if (old.startsWith("blob:")) URL.revokeObjectURL(old);
}

function showTooth(t) {
	draw("plate", t.svg, t.alt);
	if (document.activeElement !== $("seed")) $("seed").value = $("seed").value && t.seed;
	$("seed").placeholder = t.seed;
	$("plate").dataset.seed = t.seed;
	$("canals").replaceChildren(...t.canals.map((row) => el("tr", {}, ...row.map((cell, i) => el("td", { className: i ? "n" : "" }, cell)))));
}

const points = (n) => String(Math.round(n * 100) / 100);

function showMarks(m) {
	const total = m.marks;
	$("verdict").textContent = total.rules.length ? `${points(total.total)} of ${points(total.available)} points, ${m.passed ? "passed" : "not passed"} (${points(m.pass)} needed${total.failed ? "; a critical error happened" : ""})` : "The case has no rules.";
	if (m.note.includes("drill")) $("verdict").append("; treated " + m.note);
	$("sheet").replaceChildren(...total.rules.map((r) => el("tr", { className: r.happened ? "happened" : r.points < r.available ? "lost" : "" },
		el("td", {}, r.title || r.id, r.stage ? el("small", {}, r.stage) : null),
		el("td", { className: "n" }, r.critical && !r.available ? (r.happened ? "happened" : "clear") : points(r.points) + " / " + points(r.available)),
		el("td", {}, ...(r.parts?.length ? r.parts.map((p) => el("div", {}, el("b", {}, p.canal), ` ${points(p.points)} / ${points(p.available)}: ${p.evidence.replace(p.canal + ": ", "")}`)) : [r.evidence])))));
	draw("treated", m.svg, m.alt);
	$("steps").replaceChildren(...m.steps.map((s) => el("li", {}, s)));
}

function showGallery(g) {
	draw("teeth", g.svg, g.alt);
	$("ungrown").replaceChildren(...g.canals.map((row) => el("li", {}, "Seed " + row.join(": "))));
}

function step(by) {
	const seed = BigInt($("plate").dataset.seed || "1") + BigInt(by);
	$("seed").value = String(seed < 0n ? 0n : seed);
	picture();
}

function pane(name) {
	document.body.dataset.pane = name;
	for (const b of document.querySelectorAll("nav button")) b.setAttribute("aria-pressed", b.dataset.show === name);
	gutter();
	if (view) picture();
}

// --- beginning ---

async function start(b) {
	begun = b;
	$("lists").append(el("datalist", { id: "list-plans" }, ...(b.plans ?? []).map((f) => el("option", { value: f }))));
	$("begin").hidden = b.file !== "";
	document.querySelector("main").hidden = b.file === "";
	if (b.file === "") {
		$("name").textContent = "A case";
		$("kind").replaceChildren(...b.kinds.map((k) => el("option", {}, k)));
		$("kind").value = "upper-first-molar";
		$("there").hidden = !b.cases?.length;
		$("cases").replaceChildren(...(b.cases ?? []).map((c) => el("li", {}, el("button", { type: "button", onclick: () => open({ File: c }) }, c))));
		return;
	}
	$("who").replaceChildren(...(b.plan ? [el("option", { value: "plan:" }, "the plan " + b.plan)] : []), ...b.operators.map((o) => el("option", { value: o }, "the operator " + o)));
	if (!b.plan) $("who").value = "careful";
	await load(b.file);
	if (b.plan) await load("plan:");
	pane("form");
	await show(b.file);
}

async function open(what) {
	try { await start(await ask("/open", what)); } catch (fault) { say(fault.message); }
}

$("new").addEventListener("submit", (event) => { event.preventDefault(); open({ File: $("file").value.trim(), Kind: $("kind").value }); });
$("yaml").addEventListener("input", typed);
$("yaml").addEventListener("scroll", () => { $("lines").scrollTop = $("yaml").scrollTop; });
$("doc").addEventListener("change", async () => { const id = $("doc").value; await settle(); show(id); });
$("save").addEventListener("click", save);
$("undo").addEventListener("click", undo);
$("before").addEventListener("click", () => step(-1));
$("after").addEventListener("click", () => step(1));
$("own").addEventListener("click", () => { $("seed").value = ""; picture(); });
$("seed").addEventListener("input", picture);
$("who").addEventListener("change", picture);
$("count").addEventListener("input", picture);
for (const b of document.querySelectorAll("nav button")) b.addEventListener("click", () => pane(b.dataset.show));
for (const query of ["(prefers-color-scheme: dark)", "(prefers-contrast: more)"]) matchMedia(query).addEventListener("change", () => view && picture());
document.addEventListener("keydown", (event) => {
	if ((event.ctrlKey || event.metaKey) && !event.altKey && event.key.toLowerCase() === "s") { event.preventDefault(); save(); }
});
window.addEventListener("beforeunload", (event) => { if ([...docs.values()].some((d) => d.text !== d.saved)) event.preventDefault(); });
ask("/begin").then(start).catch((fault) => say(fault.message));
