/** Serves the built tool on this machine: npm start. PORT chooses the port; otherwise the first free one from 4173 on. */
import { existsSync } from 'node:fs';
import { createServer } from 'node:http';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import sirv from 'sirv';

const HOST = '127.0.0.1';
const FIRST_PORT = 4173;
const TRIES = 100;

const folder = join(dirname(fileURLToPath(import.meta.url)), '..', 'dist');
if (!existsSync(join(folder, 'index.html'))) fail('The tool has not been built yet; run "npm run build" first.');

const wanted = process.env.PORT;
if (wanted !== undefined && !(/^\d+$/.test(wanted) && Number(wanted) < 65_536)) {
  fail(`PORT must be a number from 0 to 65535; it was ${wanted}.`);
}

const server = createServer(sirv(folder, { etag: true }));
let port = wanted === undefined ? FIRST_PORT : Number(wanted);
server.on('error', (error) => {
  if (error.code === 'EADDRINUSE' && wanted === undefined && port < FIRST_PORT + TRIES) server.listen(++port, HOST);
  else if (error.code === 'EADDRINUSE') fail(`Port ${port} is in use; choose another: PORT=8080 npm start.`);
  else fail(`Port ${port} can't be opened (${error.message}); choose another: PORT=8080 npm start.`);
});
server.on('listening', () => {
  console.log(`Level Best: http://${HOST}:${server.address().port}/`);
  console.log(
    'Sound needs AudioWorklet, which browsers give only to localhost and to https: from another machine, serve dist/ by https.',
  );
});
server.listen(port, HOST);

function fail(sentence) {
  console.error(sentence);
  process.exit(1);
}
