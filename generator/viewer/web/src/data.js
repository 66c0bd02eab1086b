// What the page was written with: facts as JSON, the model as GLB, both gzipped as base64 text.

/** The bytes of an embedded block. */
export async function unpacked(id) {
  const packed = Uint8Array.from(atob(document.getElementById(id).textContent), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return new Response(stream).arrayBuffer();
}

/** The facts of the job. */
export async function facts() {
  return JSON.parse(new TextDecoder().decode(await unpacked("job-facts")));
}
