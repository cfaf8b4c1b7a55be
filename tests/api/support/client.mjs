// Requests to the running server; every answer is held against the description.
import http from 'node:http';
import { setTimeout as sleep } from 'node:timers/promises';

import { assertPromised } from './contract.mjs';

/**
 * One request; gives {status, headers, text, json}. `body`: an object is sent as JSON, text and
 * bytes as they are.
 */
export function ask(server, method, target, { body, headers = {} } = {}) {
  const isPlain = body === undefined || typeof body === 'string' || Buffer.isBuffer(body);
  const bytes = isPlain ? body : JSON.stringify(body);
  const type = isPlain ? {} : { 'content-type': 'application/json' };
  return new Promise((resolve, reject) => {
    const request = http.request(
      { host: '127.0.0.1', port: server.port, method, path: target, headers: { ...type, ...headers }, agent: false, timeout: 60_000 },
      (response) => {
        const parts = [];
        response.on('data', (part) => parts.push(part));
        response.on('error', reject);
        response.on('end', () => {
          const raw = Buffer.concat(parts);
          const text = raw.toString('utf8');
          const kind = (response.headers['content-type'] ?? '').split(';')[0];
          try {
            if (target.startsWith('/api/') && method !== 'HEAD') {
              assertPromised(method, target, response.statusCode, kind, text);
            }
          } catch (error) {
            reject(error);
            return;
          }
          resolve({
            status: response.statusCode, headers: response.headers, text, bytes: raw,
            json: kind.endsWith('json') && text ? JSON.parse(text) : undefined,
          });
        });
      });
    request.on('error', reject);
    request.on('timeout', () => request.destroy(new Error(`${method} ${target} took too long`)));
    request.end(bytes);
  });
}

const kSettleMs = 60_000;

/** Now, once the server has worked out every unit of every lot. */
export async function settledNow(server) {
  const isPending = async () => {
    const { lots } = (await get(server, '/lots')).json;
    for (const { id } of lots) if ((await get(server, `/lots/${id}`)).json.pending > 0) return true;
    return false;
  };
  for (const until = Date.now() + kSettleMs; Date.now() < until; await sleep(50)) {
    if (!await isPending()) return (await get(server, '/now')).json;
  }
  throw new Error(`not worked out within ${kSettleMs} ms`);
}

export const get = (server, path, headers) => ask(server, 'GET', `/api/v1${path}`, { headers });
export const post = (server, path, body, headers) => ask(server, 'POST', `/api/v1${path}`, { body, headers });
export const postEntries = (server, entries) => post(server, '/entries', { entries });

/**
 * Opens the event stream. Gives {next(), close()}: next() waits for the next event {id, event, data},
 * at most `seconds`.
 */
export function events(server, target = '/api/v1/events', headers = {}) {
  return new Promise((resolve, reject) => {
    const request = http.get({ host: '127.0.0.1', port: server.port, path: target, headers, agent: false }, (response) => {
      const ready = [];
      const waiting = [];
      let text = '';
      response.setEncoding('utf8');
      response.on('data', (part) => {
        text += part;
        for (let end = text.indexOf('\n\n'); end >= 0; end = text.indexOf('\n\n')) {
          const lines = text.slice(0, end).split('\n').filter((line) => !line.startsWith(':'));
          text = text.slice(end + 2);
          const event = Object.fromEntries(lines.map((line) => [line.split(': ')[0], line.slice(line.indexOf(': ') + 2)]));
          if (!event.event) continue;
          event.data = JSON.parse(event.data);
          if (waiting.length > 0) waiting.shift()(event);
          else ready.push(event);
        }
      });
      const ended = new Promise((done) => { response.on('close', done); });
      response.on('error', () => {});
      resolve({
        status: response.statusCode, headers: response.headers, ended,
        close: () => request.destroy(),
        next: (seconds = 10) => new Promise((got, failed) => {
          if (ready.length > 0) {
            got(ready.shift());
            return;
          }
          const timer = setTimeout(() => failed(new Error('no event came')), seconds * 1000);
          waiting.push((event) => { clearTimeout(timer); got(event); });
        }),
      });
    });
    request.on('error', reject);
  });
}
