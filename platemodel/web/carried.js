// What the page carries packed: a zlib stream (RFC 1950) in base64 within a template. Nothing is fetched for it.
const TOO_OLD = "This browser is too old to unpack what the page carries: one of 2023 or later does";
const SPOILED = "This copy of the page is spoiled: have it sent or written anew";

// the text that a template carries; a text of the reason, to be shown, where it cannot be had
async function unpacked(holder) {
  if (typeof DecompressionStream !== "function") throw new Error(TOO_OLD);
  try {
    const letters = atob(holder.content.textContent);
    const bytes = Uint8Array.from(letters, (letter) => letter.charCodeAt(0));
    // the stream's check sum tells a copy that was cut off or altered
    return await new Response(new Response(bytes).body.pipeThrough(new DecompressionStream("deflate"))).text();
  } catch {
    throw new Error(SPOILED);
  }
}
