// Tells what a DXF holds, as JSON: layers, inserts with their blocks, dimensions, texts.
import { readFileSync } from "node:fs";
import { Helper } from "dxf";

const parsed = new Helper(readFileSync(process.argv[2], "utf-8")).parsed;
const model = parsed.entities;
const layers = Object.keys(parsed.tables.layers);
const inserts = model.filter((e) => e.type === "INSERT").map((e) => e.block);
const dimensions = model.filter((e) => e.type === "DIMENSION").length;
const used = [...new Set(model.map((e) => e.layer))];
process.stdout.write(JSON.stringify({ layers, used, inserts, dimensions }));
