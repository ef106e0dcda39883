// Loads the bench, a WebAssembly program, shows how far the loading is, and gives it the keyboard.
"use strict";

const loading = document.getElementById("loading");
const state = document.getElementById("state");
const bar = document.getElementById("loaded");
const again = document.getElementById("again");
const mirror = document.getElementById("mirror");
const patience = 10000; // ms

// counted passes a stream on and moves the bar: total bytes are to come, 0 when nobody knows.
function counted(stream, total) {
	let done = 0;
	return stream.pipeThrough(new TransformStream({
		transform(piece, to) {
			done += piece.byteLength;
			if (total > 0) {
				bar.value = Math.min(done / total, 1);
			}
			to.enqueue(piece);
		},
	}));
}

// unpacker returns what unpacks a packing, null where the browser knows it not.
function unpacker(packing) {
	try {
		return new DecompressionStream(packing);
	} catch {
		return null;
	}
}

// plain unpacks a stream if it is packed. Some servers hand over a packed file as it is, others have it
// unpacked by the browser; its first bytes tell, and brotli has none of its own.
async function plain(stream, brotli) {
	const [look, pass] = stream.tee();
	const reader = look.getReader();
	let head = [];
	while (head.length < 4) {
		const { value, done } = await reader.read();
		if (done) {
			break;
		}
		head = head.concat(Array.from(value.subarray(0, 4)));
	}
	reader.cancel();
	if (head[0] === 0x1f && head[1] === 0x8b) {
		return pass.pipeThrough(unpacker("gzip"));
	}
	const program = [0x00, 0x61, 0x73, 0x6d].every((byte, at) => head[at] === byte);
	return program || !brotli ? pass : pass.pipeThrough(brotli);
}

// load fetches and compiles the program while it arrives. A copy in a web space has it in two packings.
async function load(go) {
	let brotli = bar.dataset.smaller ? unpacker("brotli") : null;
	let answer = brotli ? await fetch(bar.dataset.smaller) : null;
	if (!answer || !answer.ok) {
		brotli = null;
		answer = await fetch(bar.dataset.program);
	}
	if (!answer.ok) {
		throw new Error("HTTP " + answer.status);
	}
	// The local server tells the unpacked length. Elsewhere the length of what is sent serves, unless
	// the browser unpacks it on the way.
	const packed = answer.headers.get("Content-Encoding");
	const total = Number(answer.headers.get("Tugback-Length") || (packed ? 0 : answer.headers.get("Content-Length")) || 0);
	const code = new Response(await plain(counted(answer.body, total), brotli), { headers: { "Content-Type": "application/wasm" } });
	return WebAssembly.instantiateStreaming(code, go.importObject);
}

// show puts the loading screen back with a text and a button to reload.
function show(text, why) {
	if (why) {
		console.error(why);
	}
	document.querySelectorAll("canvas").forEach((canvas) => canvas.remove());
	loading.hidden = false;
	loading.setAttribute("aria-busy", "false");
	bar.hidden = true;
	state.textContent = text;
	again.hidden = false;
	again.focus();
}

// handOver hides the loading screen and gives the keyboard to the canvas once the bench has drawn and
// said what it shows, or when it has had time to.
function handOver(late) {
	const canvas = document.querySelector("canvas");
	if (!again.hidden || !canvas || !late && mirror.textContent === "") {
		return false;
	}
	loading.hidden = true;
	loading.setAttribute("aria-busy", "false");
	canvas.setAttribute("role", "application");
	canvas.setAttribute("aria-label", document.title);
	canvas.setAttribute("aria-describedby", "keys");
	canvas.focus({ preventScroll: true });
	amend(canvas);
	return true;
}

// amend gives the canvas what its library leaves out. The browser's own keys (reload, zoom, the way out of the
// page) are not for the bench, which knows no key with Ctrl, Alt or Meta; and a finger that the system takes
// away, for a gesture of its own, must not go on working.
function amend(canvas) {
	const own = ["F3", "F5", "F6", "F7", "F11", "F12"];
	canvas.addEventListener("keydown", (event) => {
		const modifier = ["Control", "Alt", "Meta", "AltGraph"].includes(event.key);
		if (own.includes(event.key) || !modifier && (event.ctrlKey || event.altKey || event.metaKey)) {
			event.stopImmediatePropagation();
		}
	}, { capture: true });
	canvas.addEventListener("touchcancel", () => canvas.dispatchEvent(new TouchEvent("touchend", { cancelable: true })));
	canvas.style.touchAction = "none";
}

// one tells the tabs of this bench that were opened before that the treatment goes on here: of two that did
// something at once, one would lose it. The server, or the browser's memory, refuses what they do none the less.
function one(stop) {
	if (typeof BroadcastChannel !== "function") {
		return;
	}
	const tabs = new BroadcastChannel("tugback");
	tabs.addEventListener("message", stop);
	tabs.postMessage("opened");
}

async function main() {
	again.addEventListener("click", () => location.reload());
	if (location.protocol === "file:") {
		show(state.dataset.file);
		return;
	}
	if (typeof WebAssembly !== "object" || typeof DecompressionStream !== "function") {
		show(state.dataset.old);
		return;
	}
	let elsewhere = false;
	const stop = () => {
		elsewhere = true;
		show(state.dataset.elsewhere);
	};
	one(stop);
	const go = new Go();
	let program;
	try {
		program = await load(go);
	} catch (why) {
		show(state.dataset.failed, why);
		return;
	}
	if (elsewhere) {
		return;
	}
	bar.removeAttribute("value");
	state.textContent = state.dataset.starting;
	const watch = new MutationObserver(() => handOver(false) && watch.disconnect());
	watch.observe(document.body, { childList: true, characterData: true, subtree: true });
	const late = setTimeout(() => loading.hidden || handOver(true), patience);
	let why;
	try {
		await go.run(program.instance);
	} catch (thrown) {
		why = thrown;
	}
	watch.disconnect();
	clearTimeout(late);
	if (!elsewhere) {
		const fault = state.dataset.fault; // as the program told it
		show(fault ? state.dataset.broken.replace("{why}", () => fault) : state.dataset.stopped, why);
	}
}

main();
