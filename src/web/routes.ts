// Every address on one screen. A page is a function of the services; each file under src/web answers a few of them.
// Codes of rows may hold any character, so what is not a row has its verb first: /new/rolls, never /rolls/new.
import { Router } from 'express';
import { RESOURCES } from '../domain/resources.ts';
import { auditPage } from './afterwards/audit.ts';
import { yieldFile, yieldPage } from './afterwards/yield.ts';
import { coatForm, coatingPage, coatPost, undoCoatingPost } from './arrival/coat.ts';
import { receiptLabels, receiptPage, rollLabel } from './arrival/receipt.ts';
import { receiveForm, receivePost } from './arrival/receive.ts';
import { buyPage } from './buying/buy.ts';
import { needsFile, needsPage } from './buying/buyNeeds.ts';
import { proposalPage } from './buying/buyProposal.ts';
import { widthsPage } from './buying/buyWidths.ts';
import {
  newPurchaseOrder,
  purchaseOrderPage,
  purchaseOrdersPage,
  savePurchaseOrder,
} from './buying/purchaseOrders.ts';
import {
  confirmForm,
  confirmPost,
  orderFile,
  orderSheet,
  replanPost,
  stepPost,
} from './buying/purchaseSteps.ts';
import { supplierRecordPage } from './buying/supplierRecord.ts';
import { nothingHere } from './errors.ts';
import { findPage } from './find.ts';
import { homePage } from './home.ts';
import { correctForm, correctPost } from './machine/correctRoll.ts';
import { machinePage } from './machine/machine.ts';
import { closePost, recordPage, recordPost, undoPost } from './machine/recordPage.ts';
import { releaseForm, releasePost } from './machine/releaseOfPlan.ts';
import { releasePage, withdrawRunsPost } from './machine/releasePage.ts';
import { cardPage, cardsPage } from './machine/runCard.ts';
import { choosePage, choosePlan } from './plans/plansChoose.ts';
import { choosePost } from './plans/plansCurve.ts';
import { filePage, planFromFile } from './plans/plansFile.ts';
import { insightFile, insightPage } from './plans/plansInsight.ts';
import { comparePage, plansPage } from './plans/plansList.ts';
import {
  againPost,
  aroundPost,
  cancelPost,
  finishPost,
  planFile,
  planPage,
  problemFile,
} from './plans/plansOpen.ts';
import { progressStream } from './plans/plansProgress.ts';
import { lotPage, rollFamilyPage } from './rolls/family.ts';
import { mapPage, mapPost } from './rolls/rollMap.ts';
import { statusPage, statusPost } from './rolls/rollStatus.ts';
import { acknowledgePage } from './sales/acknowledge.ts';
import { answerPage } from './sales/answer.ts';
import { answerFile, answerPlanPage } from './sales/answerPlan.ts';
import { promisePost } from './sales/answerPromise.ts';
import { acceptPost, promisesPage, withdrawPost as withdrawPromise } from './sales/promises.ts';
import { trimPage } from './sales/trim.ts';
import { dispatchPage } from './sending/dispatch.ts';
import { packagePage, packagePost } from './sending/packages.ts';
import { packForm, packPost } from './sending/packing.ts';
import { finishedLabels, packageLabels, packListPage } from './sending/packList.ts';
import { returnForm, returnPost } from './sending/returns.ts';
import type { Services } from './services.ts';
import { editForm, newForm, saveForm } from './tables/resourceForm.ts';
import { importApply, importForm, importPreview } from './tables/resourceImport.ts';
import { exportFile, listPage } from './tables/resourceList.ts';
import { askDelete, doDelete, rowPage } from './tables/resourceRow.ts';

/** All pages of the plant. */
export function routes(services: Services): Router {
  const to = Router({ caseSensitive: true });

  to.get('/', homePage(services));
  to.get('/find', findPage(services));

  planningRoutes(to, services);
  buyingRoutes(to, services);
  arrivalRoutes(to, services);
  machineRoutes(to, services);
  afterwardsRoutes(to, services);
  salesRoutes(to, services);
  tableRoutes(to, services);

  to.use(nothingHere);
  return to;
}

/** Plan the slitting: choose, wait, read, compare, ask what would pay. */
function planningRoutes(to: Router, services: Services): void {
  to.get('/plans', choosePage(services));
  to.post('/plans', choosePlan(services));
  to.get('/plans/all', plansPage(services));
  to.get('/plans/compare', comparePage(services));
  to.get('/plans/file', filePage);
  to.post('/plans/file', planFromFile(services));
  to.get('/plans/:id', planPage(services));
  to.get('/plans/:id/progress', progressStream(services));
  to.post('/plans/:id/cancel', cancelPost(services));
  to.post('/plans/:id/finish', finishPost(services));
  to.post('/plans/:id/again', againPost(services));
  to.post('/plans/:id/choose', choosePost(services));
  to.post('/plans/:id/around', aroundPost(services));
  to.get('/plans/:id/insight', insightPage(services));
  to.get('/plans/:id/insight.json', insightFile(services));
  to.get('/plans/:id/problem.json', problemFile(services));
  to.get('/plans/:id/plan.json', planFile(services));
}

/** Film arrives, is coated, and rolls are cared for: goods receipts, labels, decisions, maps. */
function arrivalRoutes(to: Router, services: Services): void {
  to.get('/receive', receiveForm(services));
  to.post('/receive', receivePost(services));
  to.get('/receipts/:entry', receiptPage(services));
  to.get('/receipts/:entry/labels', receiptLabels(services));
  to.get('/coat', coatForm(services));
  to.post('/coat', coatPost(services));
  to.get('/coatings/:entry', coatingPage(services));
  to.post('/coatings/:entry/undo', undoCoatingPost(services));
  to.get('/rolls/:code/label', rollLabel(services));
  to.get('/rolls/:code/status', statusPage(services));
  to.post('/rolls/:code/status', statusPost(services));
  to.get('/rolls/:code/map', mapPage(services));
  to.post('/rolls/:code/map', mapPost(services));
}

/** Release to the machine, run, record. */
function machineRoutes(to: Router, services: Services): void {
  to.get('/plans/:id/release', releaseForm(services));
  to.post('/plans/:id/release', releasePost(services));
  to.get('/machine', machinePage(services));
  to.get('/releases/:id', releasePage(services));
  to.post('/releases/:id/withdraw', withdrawRunsPost(services));
  to.get('/releases/:id/card', cardsPage(services));
  to.get('/releases/:id/runs/:run/card', cardPage(services));
  to.get('/releases/:id/runs/:run/record', recordPage(services));
  to.post('/releases/:id/runs/:run/record', recordPost(services));
  to.post('/releases/:id/runs/:run/undo', undoPost(services));
  to.post('/releases/:id/runs/:run/close', closePost(services));
  to.get('/rolls/:code/correct', correctForm(services));
  to.post('/rolls/:code/correct', correctPost(services));
}

/** What comes after the machine: pack, send, take back, prove, follow. */
function afterwardsRoutes(to: Router, services: Services): void {
  to.get('/dispatch', dispatchPage(services));
  to.get('/pack/:order', packForm(services));
  to.post('/pack/:order', packPost(services));
  to.get('/packages/:sscc', packagePage(services));
  to.post('/packages/:sscc', packagePost(services));
  to.get('/packages/:sscc/labels', packageLabels(services));
  to.get('/orders/:code/pack-list', packListPage(services));
  to.get('/labels', finishedLabels(services));
  to.get('/rolls/:code/return', returnForm(services));
  to.post('/rolls/:code/return', returnPost(services));
  to.get('/yield', yieldPage(services));
  to.get('/export/yield.csv', yieldFile(services));
  to.get('/audit', auditPage(services));
  to.get('/rolls/:code/family', rollFamilyPage(services));
  to.get('/lots/:lot', lotPage(services));
}

/** Buy the film: what is needed, what to buy, purchase orders on their way. */
function buyingRoutes(to: Router, services: Services): void {
  to.get('/buy', buyPage(services));
  to.get('/buy/needs', needsPage(services));
  to.get('/buy/needs.csv', needsFile(services));
  to.get('/buy/proposal', proposalPage(services));
  to.get('/buy/widths', widthsPage(services));
  to.get('/purchase-orders', purchaseOrdersPage(services));
  to.get('/new/purchase-orders', newPurchaseOrder(services));
  to.post('/new/purchase-orders', savePurchaseOrder(services));
  to.get('/purchase-orders/:code', purchaseOrderPage(services));
  for (const step of ['send', 'close', 'cancel'] as const)
    to.post(`/purchase-orders/:code/${step}`, stepPost(services, step));
  to.post('/purchase-orders/:code/replan', replanPost(services));
  to.get('/purchase-orders/:code/confirm', confirmForm(services));
  to.post('/purchase-orders/:code/confirm', confirmPost(services));
  to.get('/purchase-orders/:code/print', orderSheet(services));
  to.get('/purchase-orders/:code/order.csv', orderFile(services));
  to.get('/suppliers/:code/record', supplierRecordPage(services));
}

/** Answer a customer: questions, promises, what is left over. */
function salesRoutes(to: Router, services: Services): void {
  to.get('/answer', answerPage(services));
  to.get('/answers/:id', answerPlanPage(services));
  for (const part of ['plan', 'problem', 'proof'] as const)
    to.get(`/answers/:id/${part}.json`, answerFile(services, part));
  to.post('/answers/:id/promise', promisePost(services));
  to.get('/promises', promisesPage(services));
  to.post('/promises/:order/accept', acceptPost(services));
  to.post('/promises/:order/withdraw', withdrawPromise(services));
  to.get('/acknowledge/:order', acknowledgePage(services));
  to.get('/trim', trimPage(services));
}

/** The tables of the plant, each as its description in domain/resources.ts says. */
function tableRoutes(to: Router, services: Services): void {
  for (const resource of Object.values(RESOURCES)) {
    const { name } = resource;
    to.get(`/${name}`, listPage(services, resource));
    to.get(`/export/${name}.csv`, exportFile(services, resource));
    to.get(`/new/${name}`, newForm(services, resource));
    to.post(`/new/${name}`, saveForm(services, resource));
    to.get(`/import/${name}`, importForm(resource));
    to.post(`/import/${name}`, importPreview(services, resource));
    to.post(`/import/${name}/apply`, importApply(services, resource));
    to.get(`/${name}/:code`, rowPage(services, resource));
    to.get(`/${name}/:code/edit`, editForm(services, resource));
    to.post(`/${name}/:code/edit`, saveForm(services, resource));
    to.get(`/${name}/:code/delete`, askDelete(services, resource));
    to.post(`/${name}/:code/delete`, doDelete(services, resource));
  }
}
