import { defineConfig } from 'vite';

export default defineConfig({
  // Relative addresses, so that the built folder works from any place on any static host.
  base: './',
  // One self-contained script for each worklet and worker: the Web Audio library can't load a worklet with imports or exports.
  worker: { format: 'iife' },
  build: { target: 'es2022' },
});
